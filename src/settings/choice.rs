//! Settings that are one word of a few.

/// An enum whose variants are words, with a place in the list of them.
pub trait Choice: Copy + PartialEq + Sized + 'static {
    /// The words, in the order of the variants.
    const WORDS: &'static [&'static str];
    /// The variant at a place in [`Self::WORDS`]; the first where there is no such place.
    fn from_index(index: usize) -> Self;
    /// The place of this variant in [`Self::WORDS`].
    fn index(self) -> usize;
    /// The word of this variant.
    fn word(self) -> &'static str {
        Self::WORDS[self.index()]
    }
}

/// Declares an enum of words, a [`Choice`].
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name { $($(#[$vdoc])* $variant),+ }

        impl Choice for $name {
            const WORDS: &'static [&'static str] = &[$($word),+];
            fn from_index(index: usize) -> Self {
                const ALL: &[$name] = &[$($name::$variant),+];
                ALL.get(index).copied().unwrap_or(ALL[0])
            }
            fn index(self) -> usize {
                self as usize
            }
        }
    };
}

pub(crate) use choice;

choice! {
    /// Which change of level starts a one-shot.
    Trigger {
        /// Low to high.
        Rising = "rising",
        /// High to low.
        Falling = "falling",
        /// Every change.
        Both = "both",
    }
}

choice! {
    /// What starts the long one-shot.
    LongTrigger {
        /// The end of the short one-shot's timing: its output rises.
        TimeOut = "time-out",
        /// The trigger that starts the short one-shot again: its output falls.
        NextTrigger = "next-trigger",
    }
}

choice! {
    /// The parity bit behind the data bits (ANSI X3.16 / ITU-T V.4, from memory).
    Parity {
        /// No parity bit.
        None = "none",
        /// Data and parity hold an even count of ones.
        Even = "even",
        /// Data and parity hold an odd count of ones.
        Odd = "odd",
        /// Always mark.
        Mark = "mark",
        /// Always space.
        Space = "space",
    }
}

choice! {
    /// How many stop bits end a character.
    StopBits {
        /// One bit.
        One = "1",
        /// One and a half.
        OneAndHalf = "1.5",
        /// Two bits.
        Two = "2",
    }
}

choice! {
    /// Which level of the line is mark.
    Sense {
        /// High is mark.
        Normal = "normal",
        /// Low is mark.
        Inverted = "inverted",
    }
}

choice! {
    /// The framer's clock.
    TickClock {
        /// 16 ticks a bit, running freely.
        X16 = "16",
        /// 64 ticks a bit, running freely.
        X64 = "64",
        /// No grain: the bit is measured from the start edge itself.
        Exact = "exact",
    }
}

choice! {
    /// The shape of a generated tone.
    Wave {
        /// Sine.
        Sine = "sine",
        /// Square.
        Square = "square",
        /// Square without the harmonics beyond half the sample rate.
        BandLimited = "band-limited",
    }
}

choice! {
    /// How a file holds the samples of a generated tape.
    SampleFormat {
        /// Integers of 8 bits.
        Int8 = "8",
        /// Integers of 16 bits.
        Int16 = "16",
        /// Integers of 24 bits.
        Int24 = "24",
        /// Integers of 32 bits.
        Int32 = "32",
        /// Floating point of 32 bits.
        Float = "float",
    }
}

impl Parity {
    /// The parity bit that belongs to `value`, or `None` where there is no parity bit.
    pub fn bit(self, value: u8) -> Option<bool> {
        let odd_ones = value.count_ones() % 2 == 1;
        match self {
            Parity::None => None,
            Parity::Even => Some(odd_ones),
            Parity::Odd => Some(!odd_ones),
            Parity::Mark => Some(true),
            Parity::Space => Some(false),
        }
    }
}

impl StopBits {
    /// The length in bits.
    pub fn bits(self) -> f64 {
        match self {
            StopBits::One => 1.0,
            StopBits::OneAndHalf => 1.5,
            StopBits::Two => 2.0,
        }
    }
}

impl SampleFormat {
    /// Bits a sample.
    pub fn bits(self) -> u16 {
        match self {
            SampleFormat::Int8 => 8,
            SampleFormat::Int16 => 16,
            SampleFormat::Int24 => 24,
            SampleFormat::Int32 | SampleFormat::Float => 32,
        }
    }
}

impl TickClock {
    /// Ticks a bit; `None` for the exact clock.
    pub fn ticks(self) -> Option<u32> {
        match self {
            TickClock::X16 => Some(16),
            TickClock::X64 => Some(64),
            TickClock::Exact => None,
        }
    }
}
