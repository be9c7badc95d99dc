//! Why a recording is not read, with what was found and what to do.

/// Why a recording cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// It is no WAV file.
    #[error("this is no WAV file ({0}): export the recording as WAV, 16, 24 or 32 bit, and read that")]
    NotWav(&'static str),
    /// A WAV file of a kind that is not read.
    #[error(
        "{found}; what is read is WAV with PCM of 8, 16, 24 or 32 bit or float of 32 or 64 bit, one or two channels, 44.1 to 192 kHz: export it as one of these"
    )]
    Kind {
        /// What was found.
        found: String,
    },
    /// Longer than any take.
    #[error(
        "the recording is {seconds:.0} s long, at most {most:.0} s are read: cut it to the test signals, which take 23 s"
    )]
    Long {
        /// How long it is.
        seconds: f64,
        /// How long it may be.
        most: f64,
    },
    /// Too short to hold the signals.
    #[error(
        "the recording is {seconds:.1} s long and the test signals take 23 s: record again and let it run to the end"
    )]
    Short {
        /// How long it is.
        seconds: f64,
    },
    /// Nothing is on it.
    #[error(
        "the recording is silent, its largest value is {peak_db:.0} dBFS: look whether the right input was recorded, its gain is up, and every volume on the way is; a board that passes nothing at all has a broken or short-circuited way: meter each lead from tip to tip (below 1 Ω) and from tip to sleeve (open)"
    )]
    Silent {
        /// The largest value.
        peak_db: f64,
    },
    /// Something is there, but not the signals.
    #[error(
        "the test signals are not in the recording: play all.wav through the board while it records; a looper, a tuner that mutes, or a wet-only delay must be off; a board that lets nothing through has a broken or short-circuited way: look for it with Find a fault, and meter each lead from tip to tip (below 1 Ω) and from tip to sleeve (open)"
    )]
    NotThere,
    /// The signals stand too low.
    #[error(
        "the recording is too quiet: the tone stands at {level_db:.0} dBFS, only {over_noise_db:.0} dB over the noise, and {least_db:.0} dB are needed; turn the input's gain up until the sweep peaks between −20 and −6 dBFS, and record board and straight lead both with that gain"
    )]
    Quiet {
        /// Level of the tone.
        level_db: f64,
        /// Its distance from the noise.
        over_noise_db: f64,
        /// The distance that is needed.
        least_db: f64,
    },
    /// The input was overdriven.
    #[error(
        "the recording is clipped: {count} times it stands at full scale, first {seconds:.2} s after its start; turn the input's gain down until the sweep peaks between −20 and −6 dBFS, and record board and straight lead both with that gain"
    )]
    Clipped {
        /// How often.
        count: usize,
        /// Where first.
        seconds: f64,
    },
    /// It ends too early.
    #[error(
        "the recording stops {missing:.1} s before the end of the test signals: record again and let it run to the end"
    )]
    Ends {
        /// How much is missing.
        missing: f64,
    },
    /// It begins too late.
    #[error(
        "the recording begins after the test signals did, its first {missing:.1} s are missing: start recording first, then play"
    )]
    Begins {
        /// How much is missing.
        missing: f64,
    },
    /// The file states another rate than it was made at.
    #[error(
        "the recording runs {by}: the file says {stated} Hz and the signals in it were played or recorded as if at {likely} Hz; set player, interface and recorder to one rate, write the signals for it (--rate {likely}), and record again"
    )]
    Rate {
        /// `8.8 % slow`.
        by: String,
        /// What the file says.
        stated: u32,
        /// What fits.
        likely: u32,
    },
    /// Left and right are changed over.
    #[error(
        "left and right are swapped: the first channel has what the right output played and the second what the left did; change the two plugs at the interface, or the two channels in the recorder, and record again"
    )]
    Sides,
    /// The take of the board was given as the reference.
    #[error(
        "the two recordings are swapped: {why}; give the board first and the straight lead with --reference"
    )]
    Swapped {
        /// What shows it.
        why: String,
    },
    /// The recording of the board is one of the straight lead.
    #[error(
        "the recording of the board is flat to {within_db:.1} dB against the straight lead, as if the lead had been recorded twice, and this board would not be: look whether the board was between box and interface, and record it again"
    )]
    Twice {
        /// How flat it is.
        within_db: f64,
    },
    /// Both files are one recording.
    #[error(
        "the two recordings are the same one, sample for sample: give the board first and the straight lead with --reference"
    )]
    Same,
}
