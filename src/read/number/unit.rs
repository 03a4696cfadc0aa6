//! Units as people say them, with their UCUM codes and what they measure.

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    Volume,
    Power,
    Voltage,
    Current,
    Resistance,
    Pressure,
    Length,
    Slope,
    Temperature,
    Gauge,
    Mass,
    Time,
    Area,
    Speed,
    Flow,
    Energy,
    Money,
    Ratio,
    Frequency,
    Angle,
    Other,
}

macro_rules! units {
    ($($name:ident $ucum:literal $dimension:ident;)*) => {
        /// A unit of measure; degrees, pounds and Btu stay as loose as they are spoken.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Unit { $($name),* }

        impl Unit {
            /// Every unit.
            pub const ALL: &'static [Unit] = &[$(Unit::$name),*];

            /// The UCUM code; what UCUM lacks (wire gauge, money) is a UCUM annotation in braces.
            pub fn ucum(self) -> &'static str {
                match self { $(Unit::$name => $ucum),* }
            }

            /// What it measures.
            pub fn dimension(self) -> Dimension {
                match self { $(Unit::$name => Dimension::$dimension),* }
            }
        }
    };
}

units! {
    Gallon "[gal_us]" Volume;
    ImperialGallon "[gal_br]" Volume;
    Litre "L" Volume;
    Millilitre "mL" Volume;
    Centilitre "cL" Volume;
    Decilitre "dL" Volume;
    CubicFoot "[cft_i]" Volume;
    CubicInch "[cin_i]" Volume;
    CubicYard "[cyd_i]" Volume;
    CubicMetre "m3" Volume;
    CubicCentimetre "cm3" Volume;
    Quart "[qt_us]" Volume;
    Pint "[pt_us]" Volume;
    Cup "[cup_us]" Volume;
    FluidOunce "[foz_us]" Volume;
    Tablespoon "[tbs_us]" Volume;
    Teaspoon "[tsp_us]" Volume;
    Barrel "[bbl_us]" Volume;
    Watt "W" Power;
    Milliwatt "mW" Power;
    Kilowatt "kW" Power;
    Megawatt "MW" Power;
    Gigawatt "GW" Power;
    Horsepower "[HP]" Power;
    BtuPerHour "[Btu_IT]/h" Power;
    ThousandBtuPerHour "10*3.[Btu_IT]/h" Power;
    MegajoulePerHour "MJ/h" Power;
    Volt "V" Voltage;
    Millivolt "mV" Voltage;
    Kilovolt "kV" Voltage;
    Amp "A" Current;
    Milliamp "mA" Current;
    Kiloamp "kA" Current;
    Ohm "Ohm" Resistance;
    Kiloohm "kOhm" Resistance;
    Megaohm "MOhm" Resistance;
    Psi "[psi]" Pressure;
    Pascal "Pa" Pressure;
    Hectopascal "hPa" Pressure;
    Kilopascal "kPa" Pressure;
    Megapascal "MPa" Pressure;
    Bar "bar" Pressure;
    Millibar "mbar" Pressure;
    Atmosphere "atm" Pressure;
    InchOfWater "[in_i'H2O]" Pressure;
    InchOfMercury "[in_i'Hg]" Pressure;
    MillimetreOfMercury "mm[Hg]" Pressure;
    PoundPerSquareFoot "[lbf_av]/[sft_i]" Pressure;
    Inch "[in_i]" Length;
    Foot "[ft_i]" Length;
    Yard "[yd_i]" Length;
    Mile "[mi_i]" Length;
    NauticalMile "[nmi_i]" Length;
    Millimetre "mm" Length;
    Centimetre "cm" Length;
    Metre "m" Length;
    Kilometre "km" Length;
    Micrometre "um" Length;
    Nanometre "nm" Length;
    Mil "[mil_i]" Length;
    LightYear "[ly]" Length;
    InchPerFoot "[in_i]/[ft_i]" Slope;
    MillimetrePerMetre "mm/m" Slope;
    CentimetrePerMetre "cm/m" Slope;
    Degree "deg" Temperature;
    Fahrenheit "[degF]" Temperature;
    Celsius "Cel" Temperature;
    Kelvin "K" Temperature;
    Gauge "{AWG}" Gauge;
    Pound "[lb_av]" Mass;
    Ounce "[oz_av]" Mass;
    Ton "[ston_av]" Mass;
    Tonne "t" Mass;
    Stone "[stone_av]" Mass;
    Kilogram "kg" Mass;
    Gram "g" Mass;
    Milligram "mg" Mass;
    Microgram "ug" Mass;
    Grain "[gr]" Mass;
    Carat "[car_m]" Mass;
    Nanosecond "ns" Time;
    Microsecond "us" Time;
    Millisecond "ms" Time;
    Second "s" Time;
    Minute "min" Time;
    Hour "h" Time;
    Day "d" Time;
    Week "wk" Time;
    Month "mo" Time;
    Year "a" Time;
    Decade "10.a" Time;
    Century "100.a" Time;
    SquareInch "[sin_i]" Area;
    SquareFoot "[sft_i]" Area;
    SquareYard "[syd_i]" Area;
    SquareMile "[mi_i]2" Area;
    SquareMillimetre "mm2" Area;
    SquareCentimetre "cm2" Area;
    SquareMetre "m2" Area;
    SquareKilometre "km2" Area;
    Acre "[acr_us]" Area;
    Hectare "har" Area;
    MilePerHour "[mi_i]/h" Speed;
    KilometrePerHour "km/h" Speed;
    MetrePerSecond "m/s" Speed;
    KilometrePerSecond "km/s" Speed;
    FootPerSecond "[ft_i]/s" Speed;
    FootPerMinute "[ft_i]/min" Speed;
    Knot "[kn_i]" Speed;
    GallonPerMinute "[gal_us]/min" Flow;
    GallonPerHour "[gal_us]/h" Flow;
    GallonPerDay "[gal_us]/d" Flow;
    LitrePerMinute "L/min" Flow;
    LitrePerHour "L/h" Flow;
    LitrePerSecond "L/s" Flow;
    CubicFootPerMinute "[cft_i]/min" Flow;
    CubicFootPerHour "[cft_i]/h" Flow;
    CubicMetrePerHour "m3/h" Flow;
    CubicMetrePerSecond "m3/s" Flow;
    Btu "[Btu_IT]" Energy;
    Therm "100000.[Btu_IT]" Energy;
    WattHour "W.h" Energy;
    KilowattHour "kW.h" Energy;
    MegawattHour "MW.h" Energy;
    Joule "J" Energy;
    Kilojoule "kJ" Energy;
    Megajoule "MJ" Energy;
    Calorie "cal" Energy;
    Kilocalorie "kcal" Energy;
    Electronvolt "eV" Energy;
    Dollar "{USD}" Money;
    Cent "{US-cent}" Money;
    Euro "{EUR}" Money;
    Sterling "{GBP}" Money;
    Penny "{GB-penny}" Money;
    Yen "{JPY}" Money;
    Rupee "{INR}" Money;
    Percent "%" Ratio;
    PartPerMillion "[ppm]" Ratio;
    PartPerBillion "[ppb]" Ratio;
    Hertz "Hz" Frequency;
    Kilohertz "kHz" Frequency;
    Megahertz "MHz" Frequency;
    Gigahertz "GHz" Frequency;
    RevolutionPerMinute "{rev}/min" Frequency;
    BeatPerMinute "{beat}/min" Frequency;
    Radian "rad" Angle;
    Decibel "dB" Other;
    Lumen "lm" Other;
    Lux "lx" Other;
    Candela "cd" Other;
    Newton "N" Other;
    Kilonewton "kN" Other;
    PoundForce "[lbf_av]" Other;
    NewtonMetre "N.m" Other;
    FootPound "[ft_i].[lbf_av]" Other;
    VoltAmpere "V.A" Other;
    KilovoltAmpere "kV.A" Other;
    AmpHour "A.h" Other;
    MilliampHour "mA.h" Other;
    Farad "F" Other;
    Microfarad "uF" Other;
    Mole "mol" Other;
    Bit "bit" Other;
    Byte "By" Other;
    Kilobyte "kBy" Other;
    Megabyte "MBy" Other;
    Gigabyte "GBy" Other;
    Terabyte "TBy" Other;
    MegabitPerSecond "Mbit/s" Other;
    GigabitPerSecond "Gbit/s" Other;
    Megapixel "10*6.{pixel}" Other;
    Pixel "{pixel}" Other;
    KilogramPerCubicMetre "kg/m3" Other;
    GramPerCubicCentimetre "g/cm3" Other;
    GramPerLitre "g/L" Other;
    MilligramPerLitre "mg/L" Other;
    MilePerGallon "[mi_i]/[gal_us]" Other;
    PicocuriePerLitre "pCi/L" Other;
    MetrePerSecondSquared "m/s2" Other;
    WattPerSquareMetre "W/m2" Other;
    GrainPerGallon "[gr]/[gal_us]" Other;
}

impl Unit {
    /// The unit of a name as written or spoken, in lower case: "gallons", "p s i", "btu per hour".
    pub fn parse(name: &str) -> Option<Unit> {
        let words: Vec<&str> = name.split(|c: char| c.is_whitespace() || c == '-').filter(|w| !w.is_empty()).collect();
        super::unit_name::whole(&words)
    }
}
