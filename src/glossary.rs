//! The words of the trade, for those who do not know them.

/// Words and what they mean, in the order in which the signal meets what they name.
pub const WORDS: &[(&str, &str)] = &[
    (
        "mark",
        "Logic 1, the high tone, usually 2400 Hz. Between characters the line rests at mark, which is high.",
    ),
    (
        "space",
        "Logic 0, the low tone, usually 1200 Hz. The line is low.",
    ),
    (
        "leader",
        "Steady mark before the first character, by which the player comes to speed.",
    ),
    (
        "cycle, half cycle",
        "From one rising edge to the next; from one edge to the next.",
    ),
    (
        "input network",
        "What lies between the player and the squarer: coupling capacitor (high-pass), band limit (low-pass), amplifier.",
    ),
    (
        "squarer",
        "A comparator that makes a two-level signal of the audio.",
    ),
    (
        "reference level",
        "The voltage with which the squarer compares.",
    ),
    (
        "hysteresis",
        "The distance between the level that sets the squarer's output and the one that clears it. Noise smaller than that makes no edges.",
    ),
    (
        "edge, trigger",
        "A change of level; one that starts a one-shot.",
    ),
    (
        "one-shot",
        "A monostable circuit. A trigger makes its output low for a fixed time, its width; then it is released and rests high again.",
    ),
    (
        "retriggerable",
        "A trigger while it is timing begins the width anew, so a one-shot that is triggered often enough never releases.",
    ),
    ("duty", "The part of the time for which a trace is high."),
    (
        "framer",
        "The serial receiver: it finds the start bit and makes characters of the line.",
    ),
    (
        "Bd (baud)",
        "Bits a second on a line of two levels. At 300 Bd a bit lasts 3.33 ms.",
    ),
    (
        "character",
        "A start bit (space), the data bits with the least significant first, perhaps a parity bit, and stop bits (mark).",
    ),
    (
        "sampling instant",
        "When the framer looks at the line: in the middle of each bit.",
    ),
    (
        "margin",
        "How near the closest change of the line comes to a sampling instant, in per cent of a bit: 50% is perfect, 0% is about to be read wrongly. The least margin of all characters without a fault says how much a recording, a player or a part may still change for the worse.",
    ),
    (
        "framing error",
        "A stop bit was not mark: the framer has lost its step, or a bit is damaged.",
    ),
    (
        "break",
        "Space through a whole character, the stop bit too.",
    ),
    (
        "false start",
        "The line fell as for a start bit, but was at mark again by the middle of it: noise, a drop-out, or a short one-shot that is nearly too short. No character comes of it. A few between blocks are usual; many within a block are a reason to look at the circuit.",
    ),
    (
        "hint",
        "A change of settings that the program has applied to the whole recording, and with which more characters were read without a fault than before, or as many with clearly more margin. Where none is found, none is given.",
    ),
    (
        "Eb/N0",
        "The energy of one bit over the power of the white noise in one hertz, in decibels. Unlike the ratio of signal to noise it does not depend on the sample rate or on the signalling rate, so tapes can be compared by it: the more, the better. At 11 dB the best receiver that does not follow the phase of the tones reads one bit in about 1100 wrongly; a circuit of one-shots needs more.",
    ),
    ("bench", "A saved set of all settings."),
];
