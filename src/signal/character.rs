//! What the framer puts out.

/// What is wrong with a character.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Faults {
    /// A stop bit was not mark.
    pub framing: bool,
    /// The parity bit does not fit the data.
    pub parity: bool,
    /// Every bit, the stop bit too, was space.
    pub break_: bool,
}

impl Faults {
    /// Whether there is any.
    pub fn any(self) -> bool {
        self != Self::default()
    }

    /// The faults in words.
    pub fn words(self) -> Vec<&'static str> {
        [
            (self.framing, "framing error"),
            (self.parity, "parity error"),
            (self.break_, "break"),
        ]
        .into_iter()
        .filter_map(|(is, word)| is.then_some(word))
        .collect()
    }
}

/// The instants at which a character was sampled: one bit apart, from the middle of the start
/// bit on; a half stop bit is sampled in its own middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instants {
    /// The first instant in seconds, which verifies the start bit.
    pub first_s: f64,
    /// Length of a bit in seconds.
    pub bit_s: f64,
    /// Instants at whole bits.
    pub whole: u8,
    /// Whether one more follows in the middle of half a stop bit.
    pub half: bool,
}

impl Instants {
    /// Number of instants.
    pub fn count(&self) -> usize {
        usize::from(self.whole) + usize::from(self.half)
    }

    /// Instant `index` in seconds.
    pub fn at_s(&self, index: usize) -> f64 {
        let bits = if self.half && index == usize::from(self.whole) {
            // From the middle of a whole bit to the middle of the half behind it.
            index as f64 - 0.25
        } else {
            index as f64
        };
        self.first_s + bits * self.bit_s
    }

    /// All instants in seconds.
    pub fn iter(&self) -> impl Iterator<Item = f64> + '_ {
        (0..self.count()).map(|i| self.at_s(i))
    }

    /// The last instant in seconds.
    pub fn last_s(&self) -> f64 {
        self.at_s(self.count().saturating_sub(1))
    }
}

/// A character as the framer received it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Character {
    /// When its start bit begins in the recording, in seconds. The circuit delays the line by
    /// about the width of the short one-shot; this time is free of that delay.
    pub at_s: f64,
    /// When the line fell for its start bit, in seconds.
    pub line_start_s: f64,
    /// The data bits, the first received in the lowest place.
    pub value: u8,
    /// What is wrong with it.
    pub faults: Faults,
    /// Smallest distance from a sampling instant to a transition of the line, in per cent of a
    /// bit.
    pub margin_percent: f64,
    /// When the line was sampled.
    pub instants: Instants,
}

/// The least margin of the characters that have no fault, in per cent of a bit. Of one that has a
/// fault it is not known which transition belongs to which bit.
pub fn least_margin_percent<'a>(
    characters: impl IntoIterator<Item = &'a Character>,
) -> Option<f64> {
    let sound = characters.into_iter().filter(|c| !c.faults.any());
    sound.map(|c| c.margin_percent).reduce(f64::min)
}

/// The indices of the characters that have faults.
pub fn faulty(characters: &[Character]) -> Vec<usize> {
    let all = characters.iter().enumerate();
    all.filter_map(|(i, c)| c.faults.any().then_some(i))
        .collect()
}

impl Character {
    /// The character `by_s` later.
    pub fn moved(self, by_s: f64) -> Self {
        Self {
            at_s: self.at_s + by_s,
            line_start_s: self.line_start_s + by_s,
            instants: Instants {
                first_s: self.instants.first_s + by_s,
                ..self.instants
            },
            ..self
        }
    }

    /// When the last bit that was sampled ends in the recording, in seconds.
    pub fn end_s(&self) -> f64 {
        self.at_s + self.length_s()
    }

    /// Length in seconds, up to the end of the last bit that was sampled.
    pub fn length_s(&self) -> f64 {
        self.line_end_s() - self.line_start_s
    }

    /// When the last bit that was sampled ends on the line, in seconds.
    pub fn line_end_s(&self) -> f64 {
        let tail = if self.instants.half { 0.25 } else { 0.5 };
        self.instants.last_s() + tail * self.instants.bit_s
    }
}
