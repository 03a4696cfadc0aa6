//! The documents of a visit, with photographs, an office's settings, and words that try to be something else.
use super::sound;
use super::visit::Visit;
use image::codecs::jpeg::JpegEncoder;
use serde_json::Value;
use std::path::Path;

/// A JPEG of two colours, the left half dark, with the EXIF that a camera writes: its turn, when it was taken, and where.
pub fn photograph(path: &Path, taken: &str, turn: u8) {
    let pixels =
        image::RgbImage::from_fn(64, 32, |x, _| image::Rgb(if x < 32 { [20, 20, 20] } else { [230, 230, 230] }));
    let mut jpeg = Vec::new();
    pixels.write_with_encoder(JpegEncoder::new_with_quality(&mut jpeg, 90)).unwrap();
    let exif = exif(taken, turn);
    // JPEG (ITU-T T.81): SOI, then an application segment of its length, then the rest.
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xff, 0xe1]);
    bytes.extend((exif.len() as u16 + 2).to_be_bytes());
    bytes.extend(exif);
    bytes.extend(&jpeg[2..]);
    std::fs::write(path, bytes).unwrap();
}

/// An EXIF block as TIFF in big-endian order (Exif 2.32, CIPA DC-008): two directories, one in the other.
fn exif(taken: &str, turn: u8) -> Vec<u8> {
    let mut tiff = b"MM\0\x2a\0\0\0\x08".to_vec();
    let short =
        |tag: u16, value: u16| [tag.to_be_bytes(), [0, 3], [0, 0], [0, 1], value.to_be_bytes(), [0, 0]].concat();
    let long = |tag: u16, value: u32| [&tag.to_be_bytes()[..], &[0, 4, 0, 0, 0, 1], &value.to_be_bytes()].concat();
    let text = |tag: u16, length: u32, at: u32| {
        [&tag.to_be_bytes()[..], &[0, 2], &length.to_be_bytes(), &at.to_be_bytes()].concat()
    };
    // The first directory holds the turn, the maker's words and where the second begins; each entry has twelve bytes.
    let second = 8 + 2 + 3 * 12 + 4;
    let (time, zone, words) = (second + 2 + 2 * 12 + 4, second + 2 + 2 * 12 + 4 + 20, second + 2 + 2 * 12 + 4 + 28);
    tiff.extend([0, 3]);
    tiff.extend(text(0x010e, 15, words));
    tiff.extend(short(0x0112, turn.into()));
    tiff.extend(long(0x8769, second));
    tiff.extend([0; 4]);
    tiff.extend([0, 2]);
    tiff.extend(text(0x9003, 20, time));
    tiff.extend(text(0x9011, 7, zone));
    tiff.extend([0; 4]);
    tiff.extend(format!("{taken}\0").bytes());
    tiff.extend(b"+00:00\0\0SECRET MEADOW 7\0");
    [b"Exif\0\0", tiff.as_slice()].concat()
}

/// A visit with a recording that began at noon, in which two photographs are asked for; its words stand in a transcript
/// as a recogniser would have written it.
fn with_recording() -> Visit {
    let visit = Visit::new();
    let path = visit.path("walk.wav");
    sound::write(&path, (0..16_000 * 120).map(|i| if i % 97 < 40 { 900 } else { -900 }));
    assert_eq!(visit.run(&["visit", "add", "v", "walk.wav"]).status.code(), Some(0));
    let list = visit.path("v/notes.json");
    let mut notes: Value = serde_json::from_slice(&std::fs::read(&list).unwrap()).unwrap();
    notes["notes"][0]["recorded"] = "2026-03-14T12:00:00Z".into();
    std::fs::write(&list, notes.to_string()).unwrap();
    let said = [
        (5_000, "Photo of the drain pan."),
        (40_000, "Active leak at the base of the tank."),
        (70_000, "Photo of the relief valve."),
    ];
    let words: Vec<Value> = said
        .iter()
        .flat_map(|(start, text)| text.split(' ').zip(0u64..).map(move |(word, at)| (start + at * 400, word)))
        .map(|(start, word)| serde_json::json!({ "text": word, "start_ms": start, "end_ms": start + 350, "probability": 0.99 }))
        .collect();
    let transcript = serde_json::json!({
        "version": 1, "note": "walk.wav", "sha256": notes["notes"][0]["sha256"],
        "transcript": { "version": 1, "timed": true, "model": "made up", "reason": null, "words": words }
    });
    std::fs::create_dir_all(visit.path("v/transcripts")).unwrap();
    std::fs::write(visit.path("v/transcripts/walk.wav.json"), transcript.to_string()).unwrap();
    assert_eq!(visit.run(&["confirm", "v", "--set", "water-heater.energy=electric"]).status.code(), Some(1));
    visit
}

pub fn placed(visit: &Visit) -> Value {
    let listed = visit.run(&["visit", "photos", "v", "--json"]);
    serde_json::from_slice(&listed.stdout).unwrap_or_else(|_| panic!("{listed:?}"))
}

fn shown(found: &Value) -> Vec<(String, String, String)> {
    let word = |value: &Value| value.as_str().unwrap_or("-").to_owned();
    found["photographs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (word(&p["name"]), word(&p["of"]), word(&p["how"])))
        .collect()
}

/// Three photographs by a camera whose clock is 37 minutes slow, each some seconds after its words, and one of lunch.
pub fn with_photographs() -> Visit {
    let visit = with_recording();
    for (name, taken, turn) in [
        ("pan.jpg", "2026:03:14 11:23:10", 1),
        ("leak.jpg", "2026:03:14 11:23:44", 6),
        ("valve.jpg", "2026:03:14 11:24:15", 1),
        ("lunch.jpg", "2026:03:14 13:10:00", 1),
    ] {
        photograph(&visit.path(name), taken, turn);
    }
    let added = visit.run(&["visit", "add", "v", "pan.jpg", "leak.jpg", "valve.jpg", "lunch.jpg", "pan.jpg"]);
    assert_eq!(added.status.code(), Some(0), "{added:?}");
    assert!(String::from_utf8_lossy(&added.stdout).ends_with("'pan.jpg' is in the visit already, as pan.jpg\n"));
    visit
}

fn of(name: &str, of: &str, how: &str) -> (String, String, String) {
    (name.to_owned(), of.to_owned(), how.to_owned())
}

#[test]
fn photographs_by_a_clock_37_minutes_slow_find_their_words() {
    let visit = with_photographs();
    let found = placed(&visit);
    assert_eq!(
        shown(&found),
        [
            of("pan.jpg", "drain-pan", "mark"),
            of("leak.jpg", "casing", "words"),
            of("valve.jpg", "relief-valve", "mark"),
            of("lunch.jpg", "-", "nothing"),
        ]
    );
    assert_eq!(found["fitted"], true);
    let told = visit.run(&["visit", "photos", "v"]);
    assert_eq!(told.status.code(), Some(1), "one belongs to nothing");
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    assert!(told.contains("found from the best fit") && told.contains("nothing was said at that time"), "{told}");
}

#[test]
fn a_person_gives_the_clock_and_has_the_last_word() {
    let visit = with_photographs();
    // By a clock that is right, nobody said anything at these times.
    let none = visit.run(&["visit", "photos", "v", "--clock-offset", "0s", "--json"]);
    assert!(shown(&serde_json::from_slice(&none.stdout).unwrap()).iter().all(|(_, _, how)| how == "nothing"));
    visit.run(&["visit", "photos", "v", "--clock-offset", "+37m"]);
    assert_eq!(shown(&placed(&visit))[0], of("pan.jpg", "drain-pan", "mark"));
    let said = visit.run(&["confirm", "v", "--photo", "lunch.jpg=2/drain-pan", "--photo", "leak.jpg="]);
    assert!(String::from_utf8_lossy(&said.stdout).contains("lunch.jpg shows 2/drain-pan"), "{said:?}");
    let now = shown(&placed(&visit));
    assert_eq!((&now[1], &now[3]), (&of("leak.jpg", "-", "person"), &of("lunch.jpg", "drain-pan", "person")));
    visit.run(&["confirm", "v", "--undo", "3"]);
    assert_eq!(shown(&placed(&visit))[1], of("leak.jpg", "casing", "words"), "taken back, it is as it was found");
    let history = visit.run(&["history", "v"]);
    assert!(
        String::from_utf8_lossy(&history.stdout).contains("leak.jpg belongs to nothing that was said"),
        "{history:?}"
    );
    let wrong = visit.run(&["confirm", "v", "--photo", "lunch.jpg=fridge"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("'fridge' is no part"), "{wrong:?}");
}

#[test]
fn a_report_shows_photographs_upright_and_without_what_the_camera_wrote() {
    let visit = with_photographs();
    let made = visit.run(&["report", "v", "--as", "html", "--as", "pdf", "--as", "docx"]);
    assert_eq!(made.status.code(), Some(1), "{made:?}");
    let html = std::fs::read_to_string(visit.path("v/report/report.html")).unwrap();
    // 64 by 32, turned by a quarter (EXIF orientation 6).
    assert!(html.contains("alt=\"Photograph: Tank and jacket, Water heater\" width=\"32\" height=\"64\""), "{html}");
    assert!(html.contains("alt=\"Photograph: Drain pan, Water heater\" width=\"64\" height=\"32\""));
    assert!(html.contains("lunch.jpg") && html.matches("<img").count() == 3, "lunch is named, and not shown");
    for name in ["report.html", "report.pdf", "report.docx"] {
        let bytes = std::fs::read(visit.path("v/report").join(name)).unwrap();
        let holds = |text: &[u8]| bytes.windows(text.len()).any(|w| w == text);
        assert!(!holds(b"SECRET") && !holds(b"Exif"), "{name} holds what the camera wrote");
    }
}

#[test]
fn what_is_no_picture_is_refused_with_the_cure() {
    let visit = Visit::new();
    std::fs::write(visit.path("a.heic"), b"\0\0\0\x18ftypheic\0\0\0\0mif1heic").unwrap();
    std::fs::write(visit.path("b.jpg"), b"not a picture").unwrap();
    let added = visit.run(&["visit", "add", "v", "a.heic", "b.jpg"]);
    assert_eq!(added.status.code(), Some(2));
    let told = String::from_utf8_lossy(&added.stderr).into_owned();
    let lines: Vec<&str> = told.lines().collect();
    assert!(lines[0].contains("a.heic") && lines[0].contains("export it as JPEG"), "{told}");
    assert!(lines[1].contains("b.jpg") && lines[1].contains("save it as JPEG or PNG"), "{told}");
    assert!(!visit.path("v/photos.json").exists());
}

#[test]
fn a_picture_that_breaks_off_costs_nothing_but_itself() {
    let visit = with_photographs();
    let path = visit.path("v/photos/pan.jpg");
    let bytes = std::fs::read(&path).unwrap();
    std::fs::write(&path, &bytes[..260]).unwrap();
    let made = visit.run(&["report", "v"]);
    assert_eq!(made.status.code(), Some(1), "{made:?}");
    assert!(String::from_utf8_lossy(&made.stderr).contains("pan.jpg"), "{made:?}");
    assert_eq!(std::fs::read_to_string(visit.path("v/report/report.html")).unwrap().matches("<img").count(), 2);
}

/// Everything that a person can type or say is one of these at once.
const HOSTILE: &str = "</title><script>alert(1)</script>\"' =HYPERLINK(\"x\") {{ 7 * 7 }} #eval(\"1\") $x$ *b* @a <w:t> ]]> \u{202e}drow\u{2066}";

#[test]
fn words_that_try_to_be_something_else_are_words_in_every_form() {
    let long = "x".repeat(10_000);
    for words in [HOSTILE, long.as_str(), "=1+1"] {
        let visit = Visit::new();
        let about = ["property", "client", "inspector"].map(|key| format!("--{key}={words}"));
        let about = about.iter().map(String::as_str).collect::<Vec<_>>();
        let made = visit.run(&[&["visit", "new", "w", "--date", "2026-03-14"], about.as_slice()].concat());
        assert_eq!(made.status.code(), Some(0), "{made:?}");
        std::fs::write(
            visit.path("a{{x}}=1<b>.txt"),
            format!("The maker is {words}. Fifty gallon. {words} Photo of the drain pan. {words}"),
        )
        .unwrap();
        visit.run(&["visit", "add", "w", "a{{x}}=1<b>.txt"]);
        assert_eq!(visit.run(&["draft", "w"]).status.code(), Some(1));
        let typed: String = words.chars().filter(|c| !c.is_control()).take(200).collect();
        let set = format!("--set=water-heater.brand={typed}");
        visit.run(&["confirm", "w", &set, &format!("--by={words}"), &format!("--why={words}")]);
        let forms = ["html", "pdf", "docx", "csv", "json"].map(|form| ["--as", form]).concat();
        let args = [&["report", "w", "--remarks"], forms.as_slice()].concat();
        let made = visit.run(&args);
        assert_eq!(made.status.code(), Some(1), "{words:.40}: {made:?}");
        let read = |name: &str| std::fs::read(visit.path("w/report").join(name)).unwrap();
        let html = String::from_utf8(read("report.html")).unwrap();
        assert!(!html.contains("<script") && !html.contains('\u{202e}') && !html.contains("<b>"), "{words:.40}");
        assert_eq!(html.matches("<title>").count(), 1);
        let csv = String::from_utf8(read("facts.csv")).unwrap();
        let rows: Vec<csv::StringRecord> =
            csv::Reader::from_reader(csv.as_bytes()).records().map(Result::unwrap).collect();
        assert!(rows.iter().flatten().all(|cell| !cell.starts_with(['=', '+', '-', '@'])), "{csv:.400}");
        let json: Value = serde_json::from_slice(&read("record.json")).unwrap();
        assert_eq!(json["visit"]["property"], words, "the record keeps what was typed, as it was typed");
        assert!(read("report.pdf").starts_with(b"%PDF-") && read("report.docx").starts_with(b"PK"));
        assert_eq!(std::fs::read_dir(visit.path("w/report")).unwrap().count(), 5, "nothing else was written");
    }
}

#[test]
fn remarks_are_told_only_when_chosen() {
    let visit = Visit::new();
    visit.add_text("a.txt", "The dog next door is loud. Fifty gallon water heater.");
    visit.run(&["draft", "v"]);
    let tells = |args: &[&str]| {
        visit.run(args);
        std::fs::read_to_string(visit.path("v/report/report.html")).unwrap().contains("dog next door")
    };
    assert!(!tells(&["report", "v"]));
    assert!(tells(&["report", "v", "--remarks"]));
}

#[test]
fn an_office_sets_name_logo_order_words_and_template() {
    let visit = Visit::new();
    visit.add_text("a.txt", "Fifty gallon water heater.");
    visit.run(&["draft", "v"]);
    photograph(&visit.path("logo.jpg"), "2026:03:14 11:23:10", 1);
    let settings = "version = 1\nname = \"Lakeside <Inspections>\"\nlines = [\"12 Pier Road\"]\nlogo = \"logo.jpg\"\n\
        paper = \"a4\"\norder = [\"cautions\"]\n[wording]\ntitle = \"Our look at your heater\"\n[wording.word]\nglance = \"In short\"\n";
    std::fs::write(visit.path("office.toml"), settings).unwrap();
    let args = ["report", "v", "--office", "office.toml", "--as", "html", "--as", "pdf", "--as", "docx"];
    let made = visit.run(&args);
    assert_eq!(made.status.code(), Some(1), "{made:?}");
    let page = || std::fs::read_to_string(visit.path("v/report/report.html")).unwrap();
    let html = page();
    for told in ["Lakeside &lt;Inspections&gt;", "12 Pier Road", "Our look at your heater", "In short", "size: a4"] {
        assert!(html.contains(told), "{told}");
    }
    assert!(html.find("id=\"cautions\"") < html.find("id=\"glance\""), "the office's order");
    let template = "{% extends \"page.html\" %}{% block style %}h1 { color: #203040 }{% endblock %}{% block footer %}<p>{{ office.name }}</p>{% endblock %}";
    std::fs::write(visit.path("own.html"), template).unwrap();
    std::fs::write(visit.path("office.toml"), format!("template = \"own.html\"\n{settings}")).unwrap();
    visit.run(&args);
    assert!(page().contains("#203040") && page().contains("<footer><p>Lakeside &lt;Inspections&gt;</p></footer>"));
    std::fs::write(visit.path("own.html"), "{{ titel }}").unwrap();
    let refused = visit.run(&args);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("own.html"), "{refused:?}");
    assert!(page().contains("#203040"), "the report that was there is left");
}

#[test]
fn the_words_of_a_recording_are_given_as_subtitles() {
    let visit = with_recording();
    let made = visit.run(&["report", "v", "--as", "vtt", "--as", "srt"]);
    assert_eq!(made.status.code(), Some(1), "{made:?}");
    let vtt = std::fs::read_to_string(visit.path("v/report/walk.wav.vtt")).unwrap();
    assert!(vtt.starts_with("WEBVTT\n\n00:00:05.000 --> 00:00:06.950\nPhoto of the drain pan.\n"), "{vtt}");
    assert!(std::fs::read_to_string(visit.path("v/report/walk.wav.srt")).unwrap().starts_with("1\n00:00:05,000 --> "));
}
