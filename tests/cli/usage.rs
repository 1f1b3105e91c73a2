//! How a command line may be written, and what is said of one that does not fit.

use crate::desk::Desk;

/// Words of parsers, which are no sentence's.
pub const JARGON: [&str; 12] = [
    "os error",
    "invalid digit",
    "..=",
    "expected",
    "malformed",
    "riff",
    "found argument",
    "unexpected argument",
    "tip:",
    "Usage:",
    "<FILE>",
    "missing field",
];

/// Checks that a run was refused with one sentence in plain words.
fn refused_plainly(desk: &Desk, args: &[&str], code: i32, says: &str) {
    let ran = desk.run(args);
    ran.refused(code, says);
    let err = ran.err.trim_end();
    assert_eq!(err.lines().count(), 1, "{args:?}: {err}");
    assert!(err.ends_with(['.', '?']), "{args:?}: {err}");
    for word in JARGON {
        assert!(!err.contains(word), "{args:?}: {err}");
    }
}

#[test]
fn settings_may_stand_before_the_command() {
    let desk = Desk::with_log();
    let widths = |args: &[&str]| desk.run(args).json()["settings"]["short"]["width"].clone();
    assert_eq!(
        widths(&["--short-width", "600us", "read", "log.wav", "--json"]),
        600e-6
    );
    assert_eq!(
        widths(&["--json", "--short-width=0.6ms", "read", "log.wav"]),
        600e-6
    );
    // The last one counts, so that settings may be kept in front.
    let twice = ["--short-width", "600us", "read", "log.wav", "--json"];
    assert_eq!(
        widths(&[&twice[..], &["--short-width", "580us"]].concat()),
        580e-6
    );
    refused_plainly(
        &desk,
        &["--short-width", "600us", "knobs"],
        2,
        "'knobs' has no --short-width",
    );
}

#[test]
fn a_near_miss_is_answered_with_what_may_have_been_meant() {
    let desk = Desk::with_log();
    for (args, says) in [
        (
            &["read", "log.wav", "--gain", "2"][..],
            "did you mean --input-gain?",
        ),
        (
            &["--gain", "2", "read", "log.wav"],
            "did you mean --input-gain?",
        ),
        (
            &["read", "log.wav", "--width", "2ms"],
            "did you mean --short-width or --long-width?",
        ),
        (
            &["read", "log.wav", "--shrt-width", "1ms"],
            "did you mean --short-width?",
        ),
        (
            &["read", "log.wav", "--histeresis", "1"],
            "did you mean --squarer-hysteresis?",
        ),
        (&["read", "log.wav", "--jsno"], "did you mean --json?"),
        (
            &["read", "log.wav", "--tape-rate", "300"],
            "which is for 'tape'",
        ),
        (
            &["read", "log.wav", "--nothing"],
            "'pulsewright read --help'",
        ),
        (&["read", "log.wav", "-q"], "-q"),
        (&["raed", "log.wav"], "did you mean read?"),
        (
            &["log.wav", "read"],
            "The command comes first: pulsewright read",
        ),
        (
            &["read", "log.wav", "--preset", "1200bt"],
            "did you mean 1200bd?",
        ),
        (
            &["read", "log.wav", "--preset", "fast"],
            "it takes 300bd or 1200bd.",
        ),
    ] {
        refused_plainly(&desk, args, 2, says);
    }
}

#[test]
fn what_does_not_fit_is_said_in_plain_words() {
    let desk = Desk::with_log();
    for (args, says) in [
        (
            &["picture", "log.wav", "-o", "a.svg", "--scale", "9"][..],
            "--scale: '9' does not fit; it takes 1 to 8.",
        ),
        (
            &["picture", "log.wav", "-o", "a.svg", "--scale", "two"],
            "it takes 1 to 8.",
        ),
        (
            &["picture", "log.wav", "-o", "a.svg", "--from", "x"],
            "1:02.500",
        ),
        (
            &["picture", "log.wav", "-o", "a.svg", "--dark", "--light"],
            "--dark and --light",
        ),
        (&["picture", "log.wav"], "'picture' needs --out"),
        (&["read"], "'read' needs FILE"),
        (&["read", "log.wav", "--bytes"], "--bytes needs a value"),
        (&["read", "log.wav", "--json=yes"], "--json takes no value"),
        (
            &["read", "log.wav", "--framer-data-bits", "x"],
            "--framer-data-bits: 'x' is not a whole number; it takes 5 to 8.",
        ),
        (&["tape", "-o", "a.wav"], "--text"),
        (
            &["tape", "--pattern", "run", "--count", "-3", "-o", "a.wav"],
            "--count",
        ),
        (&["score", "log.wav", "--truth", "a", "b"], "'b'"),
        (&["completions", "bsh"], "did you mean bash?"),
    ] {
        refused_plainly(&desk, args, 2, says);
    }
}

#[test]
fn rates_times_gain_and_level_are_written_as_people_do() {
    let desk = Desk::new();
    let made = |rate: &str| {
        let args = ["tape", "--text", "TIDE", "--tape-sample-rate", rate];
        let more = ["--tape-leader", "0:01", "--tape-level", "-6dB", "-o", "-"];
        desk.run(&[&args[..], &more].concat()).out
    };
    assert_eq!(made("44.1k"), made("44100"));
    assert_eq!(made("44100Hz"), made("44100"));
    assert!(made("44100").len() > 44_100 * 2);
    let bench = |args: &[&str]| desk.run(&[&["bench"], args].concat()).text().to_owned();
    assert_eq!(
        bench(&["--input-gain", "20dB"]),
        bench(&["--input-gain", "10"])
    );
    assert_eq!(
        bench(&["--tape-level", "-20dB", "--source-full-scale", "2"]),
        bench(&["--tape-level", "200mV", "--source-full-scale", "2"])
    );
    assert_eq!(
        bench(&["--tape-leader", "1:30"]),
        bench(&["--tape-leader", "90"])
    );
}
