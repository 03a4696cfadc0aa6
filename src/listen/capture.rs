//! The microphone, and its coming back after it was gone.
use super::sink::Sound;
use crate::audio::RATE;
use crate::audio::growing::Form;
use std::any::Any;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

/// A device that gives no sound for so long is gone, whatever it says.
const HUNG: Duration = Duration::from_secs(3);
/// A device that is gone is looked for this often.
const RETRY: Duration = Duration::from_secs(1);

/// An open microphone.
pub struct Held {
    pub form: Form,
    /// Tells each time that sound came (nothing), and what broke.
    pub pulse: Receiver<Option<String>>,
    /// What keeps it open.
    pub device: Box<dyn Any>,
}

/// Opens the microphone, with the form wanted if it can have it.
pub type Open<'a> = &'a mut dyn FnMut(Option<Form>, &Sender<Sound>) -> Result<Held, String>;

/// Keeps a microphone open until nobody takes its sound; `begun` is told once whether it could be opened at all.
pub fn keep_open(open: Open, to: &Sender<Sound>, begun: &Sender<Result<(), String>>, retry: Duration) {
    let mut held = match open(None, to) {
        Ok(held) => held,
        Err(why) => {
            let _ = begun.send(Err(why));
            return;
        }
    };
    let _ = begun.send(Ok(()));
    let form = held.form;
    loop {
        let why = until_broken(&held.pulse);
        drop(held);
        if to.send(Sound::Lost(why)).is_err() {
            return;
        }
        held = loop {
            std::thread::sleep(retry);
            match open(Some(form), to) {
                Ok(held) => break held,
                Err(why) if to.send(Sound::Lost(why.clone())).is_err() => return,
                Err(_) => {}
            }
        };
        if to.send(Sound::Back).is_err() {
            return;
        }
    }
}

fn until_broken(pulse: &Receiver<Option<String>>) -> String {
    loop {
        match pulse.recv_timeout(HUNG) {
            Ok(None) => {}
            Ok(Some(why)) => return why,
            Err(RecvTimeoutError::Timeout) => return "no sound comes from it".to_owned(),
            Err(RecvTimeoutError::Disconnected) => return "it was closed".to_owned(),
        }
    }
}

/// Opens a microphone of this machine in a thread of its own; returns once sound comes, or with the reason why not.
#[cfg(feature = "sound")]
pub fn start(device: Option<String>, to: Sender<Sound>) -> Result<(), String> {
    let (begun, ready) = channel();
    std::thread::spawn(move || {
        let mut open = |wanted: Option<Form>, to: &Sender<Sound>| machine::open(device.as_deref(), wanted, to);
        keep_open(&mut open, &to, &begun, RETRY);
    });
    ready.recv().unwrap_or_else(|_| Err("the thread that records has ended".to_owned()))
}

#[cfg(feature = "sound")]
pub use machine::list;

/// The microphones that the operating system knows, through cpal.
#[cfg(feature = "sound")]
mod machine {
    use super::*;
    use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
    use cpal::{ErrorKind, FromSample, SampleFormat, SizedSample, StreamConfig, SupportedStreamConfig};

    /// Names and descriptions of the devices that can record.
    pub fn list() -> Result<Vec<(String, String)>, String> {
        let devices = cpal::default_host().input_devices().map_err(|e| e.to_string())?;
        Ok(devices.filter_map(|device| Some((id(&device)?, device.to_string()))).collect())
    }

    fn id(device: &cpal::Device) -> Option<String> {
        device.id().ok().map(|id| id.id().to_owned())
    }

    pub fn open(name: Option<&str>, wanted: Option<Form>, to: &Sender<Sound>) -> Result<Held, String> {
        let host = cpal::default_host();
        let device = match name {
            None => host.default_input_device().ok_or("this machine has no microphone")?,
            Some(name) => find(&host, name)?,
        };
        let config = choose(&device, wanted)?;
        let form = Form { rate: config.sample_rate(), channels: config.channels() };
        to.send(Sound::Form(form)).map_err(|e| e.to_string())?;
        let (pulse, beats) = channel();
        let stream = match config.sample_format() {
            SampleFormat::I16 => stream::<i16>(&device, &config, to, pulse),
            SampleFormat::I32 => stream::<i32>(&device, &config, to, pulse),
            SampleFormat::F32 => stream::<f32>(&device, &config, to, pulse),
            SampleFormat::U8 => stream::<u8>(&device, &config, to, pulse),
            SampleFormat::U16 => stream::<u16>(&device, &config, to, pulse),
            other => Err(format!("it gives samples of the kind {other}, which cannot be taken")),
        }?;
        stream.play().map_err(|e| e.to_string())?;
        Ok(Held { form, pulse: beats, device: Box::new(stream) })
    }

    fn find(host: &cpal::Host, name: &str) -> Result<cpal::Device, String> {
        let mut devices = host.input_devices().map_err(|e| e.to_string())?;
        let meant = |device: &cpal::Device| id(device).as_deref() == Some(name) || device.to_string() == name;
        // The same device may be spelled in several ways.
        let named = || host.device_by_id(&cpal::DeviceId::new(host.id(), name));
        devices.find(meant).or_else(named).ok_or_else(|| format!("there is no device '{name}'"))
    }

    /// What the recogniser takes as it is, if the device can give it; else what the device likes best.
    fn choose(device: &cpal::Device, wanted: Option<Form>) -> Result<SupportedStreamConfig, String> {
        let form = wanted.unwrap_or(Form { rate: RATE, channels: 1 });
        let ranges = device.supported_input_configs().map_err(|e| e.to_string())?;
        let mut fitting: Vec<_> = ranges
            .filter(|r| r.channels() == form.channels)
            .filter_map(|r| r.try_with_sample_rate(form.rate))
            .collect();
        fitting.sort_by_key(|c| c.sample_format() != SampleFormat::I16);
        match fitting.into_iter().next() {
            Some(config) => Ok(config),
            None => device.default_input_config().map_err(|e| e.to_string()),
        }
    }

    fn stream<T>(
        device: &cpal::Device,
        config: &SupportedStreamConfig,
        to: &Sender<Sound>,
        pulse: Sender<Option<String>>,
    ) -> Result<cpal::Stream, String>
    where
        T: SizedSample,
        i16: FromSample<T>,
    {
        let (to, broken) = (to.clone(), pulse.clone());
        let take = move |samples: &[T], _: &cpal::InputCallbackInfo| {
            let samples = samples.iter().map(|s| i16::from_sample_(*s)).collect();
            // Where nobody takes the sound any more, the pulse stops and the device is closed.
            if to.send(Sound::Samples(samples)).is_ok() {
                let _ = pulse.send(None);
            }
        };
        let fail = move |error: cpal::Error| {
            // A gap is bad, and no reason to close the device; nor is a refused priority.
            let passing =
                matches!(error.kind(), ErrorKind::Xrun | ErrorKind::RealtimeDenied | ErrorKind::DeviceChanged);
            if !passing {
                let _ = broken.send(Some(error.to_string()));
            }
        };
        let config: StreamConfig = config.config();
        device.build_input_stream(config, take, fail, None).map_err(|e| e.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_device_that_comes_back_goes_on_with_the_form_that_it_had() {
        let form = Form { rate: 48_000, channels: 2 };
        let mut asked = Vec::new();
        let mut times = 0;
        let mut open = |wanted: Option<Form>, to: &Sender<Sound>| {
            asked.push(wanted);
            times += 1;
            if times == 2 || times > 3 {
                return Err("unplugged".to_owned());
            }
            let (pulse, beats) = channel();
            to.send(Sound::Samples(vec![times; 2])).map_err(|e| e.to_string())?;
            pulse.send(Some("pulled out".to_owned())).unwrap();
            Ok(Held { form, pulse: beats, device: Box::new(pulse) })
        };
        let (to, sound) = channel();
        let (begun, ready) = channel();
        std::thread::scope(|scope| {
            let taker = scope.spawn(move || {
                // Two openings that gave sound, each lost again; then the taker goes away.
                let all: Vec<Sound> = sound.iter().take(6).collect();
                drop(sound);
                all
            });
            keep_open(&mut open, &to, &begun, Duration::from_millis(1));
            let all = taker.join().unwrap();
            let lost = |why: &str| Sound::Lost(why.to_owned());
            let (first, second) = (Sound::Samples(vec![1; 2]), Sound::Samples(vec![3; 2]));
            assert_eq!(all, [first, lost("pulled out"), lost("unplugged"), second, Sound::Back, lost("pulled out")]);
        });
        assert_eq!(ready.recv().unwrap(), Ok(()));
        assert_eq!(asked[..3], [None, Some(form), Some(form)]);
    }

    #[test]
    fn a_device_that_cannot_be_opened_at_all_is_told_at_once() {
        let (to, _sound) = channel();
        let (begun, ready) = channel();
        keep_open(&mut |_, _| Err("none here".to_owned()), &to, &begun, Duration::ZERO);
        assert_eq!(ready.recv().unwrap(), Err("none here".to_owned()));
    }
}
