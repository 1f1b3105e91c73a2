//! `tape`: bytes to a recording, which reads back.

use crate::desk::Desk;
use std::fs;

#[test]
fn a_tape_of_a_text_or_a_file_reads_back() {
    let desk = Desk::new();
    let text = "- Saltmere: 3,2 m über Null";
    fs::write(desk.path("in.bin"), [0, 255, 0x55, 0xAA]).unwrap();
    let bytes = |name| desk.run(&["read", name, "--bytes", "-"]).out;
    let short = ["--tape-leader", "0.1", "--tape-trailer", "50ms"];
    let tape =
        |args: &[&str]| assert_eq!(desk.run(&[&["tape"], args, &short[..]].concat()).code, 0);
    tape(&["--text", text, "--out", "a.wav"]);
    assert_eq!(bytes("a.wav"), text.as_bytes());
    tape(&[
        "--file",
        "in.bin",
        "--out",
        "b.wav",
        "--tape-sample-rate",
        "22050",
        "--tape-wave",
        "square",
    ]);
    assert_eq!(bytes("b.wav"), [0, 255, 0x55, 0xAA]);
    let piped = desk.pipe(
        &["tape", "--file", "-", "--out", "-", "--preset", "1200bd"],
        b"tide",
    );
    fs::write(desk.path("c.wav"), &piped.out).unwrap();
    let read = desk.run(&["read", "c.wav", "--bytes", "-", "--preset", "1200bd"]);
    assert_eq!(read.text(), "tide");
}

#[test]
fn the_level_goes_with_the_full_scale_voltage() {
    let desk = Desk::new();
    let args = [
        "tape",
        "--text",
        "x",
        "--out",
        "x.wav",
        "--tape-level",
        "1",
        "--source-full-scale",
        "2",
    ];
    assert_eq!(desk.run(&args).code, 0);
    let peak_v = |args: &[&str]| {
        let json = desk
            .run(&[&["read", "x.wav", "--json"], args].concat())
            .json();
        json["recording"]["peak_v"].as_f64().unwrap()
    };
    assert!((peak_v(&[]) - 0.5).abs() < 1e-3);
    assert!((peak_v(&["--source-full-scale", "2V"]) - 1.0).abs() < 1e-3);
}

#[test]
fn a_tape_wants_bytes_and_an_end() {
    let desk = Desk::new();
    fs::write(desk.path("long.bin"), [0; 1000]).unwrap();
    desk.run(&["tape", "--out", "x.wav"]).refused(2, "--text");
    desk.run(&["tape", "--text", "a", "--pattern", "run", "--out", "x.wav"])
        .refused(2, "--pattern");
    desk.run(&["tape", "--file", "no.bin", "--out", "x.wav"])
        .refused(1, "no.bin cannot be read: No such file or directory.");
    desk.run(&[
        "tape",
        "--file",
        "long.bin",
        "--out",
        "x.wav",
        "--tape-gap",
        "60",
    ])
    .refused(1, "too long");
    assert_eq!(desk.files(), ["long.bin"]);
}

#[test]
fn several_blocks_are_recorded_in_the_order_given() {
    let desk = Desk::new();
    fs::write(desk.path("in.bin"), "log").unwrap();
    let args = [
        "tape", "--hex", "0D 0A", "--file", "in.bin", "--text", "-x", "--hex", "41",
    ];
    let ran = desk.run(&[&args[..], &["--out", "x.wav", "--tape-leader", "0.5"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("8 characters") && ran.err.contains("-6.021 dB of full scale"));
    let read = desk.run(&["read", "x.wav", "--json"]).json();
    let characters = read["characters"].as_array().unwrap();
    let values: Vec<_> = characters
        .iter()
        .map(|c| c["value"].as_u64().unwrap())
        .collect();
    assert_eq!(values, [13, 10, 108, 111, 103, 45, 120, 65]);
    // Two characters of 11 bits and the second leader lie before the file's first byte.
    let third_s = characters[2]["at_s"].as_f64().unwrap();
    assert!((third_s - 1.0 - 22.0 / 300.0).abs() < 1e-4, "{third_s}");
    assert_eq!(desk.files(), ["in.bin", "x.wav"]);
}

#[test]
fn every_format_of_samples_reads_back() {
    let desk = Desk::new();
    for (format, named) in [
        ("8", "8-bit integer"),
        ("16", "16-bit integer"),
        ("24", "24-bit integer"),
        ("32", "32-bit integer"),
        ("float", "32-bit float"),
    ] {
        let ran = desk.run(&[
            "tape",
            "--text",
            "tide",
            "--replace",
            "--out",
            "x.wav",
            "--tape-sample-format",
            format,
            "--tape-wave",
            "band-limited",
            "--tape-leader",
            "0.1",
        ]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let read = desk.run(&["read", "x.wav", "--bytes", "-"]);
        assert_eq!(read.text(), "tide");
        let about = desk.run(&["read", "x.wav"]).err;
        assert!(about.contains(named), "{about}");
    }
}

#[test]
fn patterns_are_as_long_as_asked() {
    let desk = Desk::new();
    let pattern = |args: &[&str]| {
        let ran = desk.run(
            &[
                &[
                    "tape",
                    "--out",
                    "x.wav",
                    "--replace",
                    "--tape-leader",
                    "0.1",
                ],
                args,
            ]
            .concat(),
        );
        assert_eq!(ran.code, 0, "{}", ran.err);
        desk.run(&["read", "x.wav", "--json"]).json()
    };
    let duration_s = |json: &serde_json::Value| json["recording"]["duration_s"].as_f64().unwrap();
    let mark = pattern(&["--pattern", "mark", "--for", "1500ms"]);
    assert_eq!(duration_s(&mark), 1.5);
    let seamless = [
        "--pattern",
        "space",
        "--for",
        "1",
        "--seamless",
        "--tape-space",
        "1234.5",
    ];
    assert!((1.0..2.0).contains(&duration_s(&pattern(&seamless))));
    let tones = ["--pattern", "alternating-tones", "--count", "30"];
    assert!((duration_s(&pattern(&tones)) - 0.1).abs() < 1e-4);
    pattern(&["--pattern", "walking-one", "--count", "9"]);
    let bytes = desk.run(&["read", "x.wav", "--bytes", "-"]).out;
    assert_eq!(bytes, [1, 2, 4, 8, 16, 32, 64, 128, 1]);
    pattern(&["--pattern", "run", "--value", "41", "--for", "0.11"]);
    assert_eq!(desk.run(&["read", "x.wav", "--bytes", "-"]).text(), "AAA");
    let random = |seed| {
        pattern(&["--pattern", "random", "--count", "20", "--tape-seed", seed]);
        desk.run(&["read", "x.wav", "--bytes", "-"]).out
    };
    assert_eq!(random("1").len(), 20);
    assert_ne!(random("1"), random("2"));
}

/// It may be the only recording of a cassette.
#[test]
fn a_recording_that_is_there_is_not_written_over_unasked() {
    let desk = Desk::with_log();
    let before = fs::read(desk.path("log.wav")).unwrap();
    let made = [
        "tape",
        "--text",
        "a",
        "--wear-speed",
        "1",
        "--out",
        "log.wav",
    ];
    desk.run(&made).refused(1, "log.wav is there already");
    assert_eq!(fs::read(desk.path("log.wav")).unwrap(), before);
    assert_eq!(desk.files(), ["log.wav"]);
    assert_eq!(desk.run(&[&made[..], &["--replace"]].concat()).code, 0);
    assert_ne!(fs::read(desk.path("log.wav")).unwrap(), before);
}

#[test]
fn a_pattern_takes_what_fits_it() {
    let desk = Desk::new();
    let refused = |args: &[&str], says: &str| {
        desk.run(&[&["tape", "--out", "x.wav"], args].concat())
            .refused(2, says);
    };
    refused(&["--pattern", "mark", "--count", "3"], "--for");
    refused(&["--pattern", "random", "--value", "41"], "--value");
    refused(&["--pattern", "run", "--seamless"], "--seamless");
    refused(&["--pattern", "run", "--value", "4142"], "one byte");
    refused(&["--pattern", "hills"], "walking-one");
    refused(&["--hex", "5"], "two hexadecimal digits");
    refused(&["--text", "a", "--for", "3"], "--for");
    refused(&["--file", "-", "--file", "-"], "only once");
    desk.run(&["tape", "--text", "a", "--out", "-", "--truth", "-"])
        .refused(2, "Standard output takes only one");
    assert!(desk.files().is_empty());
}

#[test]
fn knobs_of_a_wear_that_is_off_wear_nothing() {
    let desk = Desk::new();
    let made = |args: &[&str]| {
        let ran = desk.run(
            &[
                &["tape", "--text", "a", "--out", "x.wav", "--replace"],
                args,
            ]
            .concat(),
        );
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.err
    };
    let said = made(&["--wear-seed", "7"]);
    assert!(said.contains("--wear-seed has no effect"), "{said}");
    assert_eq!(desk.files(), ["x.wav"]);
    let said = made(&["--wear-hum-frequency", "60", "--wear-speed", "1"]);
    assert!(said.contains("--wear-hum-frequency has no"), "{said}");
    assert_eq!(desk.files(), ["x.wav", "x.wav.json"]);
    let truth = std::fs::read_to_string(desk.path("x.wav.json")).unwrap();
    let truth: serde_json::Value = serde_json::from_str(&truth).unwrap();
    assert_eq!(truth["wear"], serde_json::json!({"speed": 1.0}));
    assert!(!made(&["--wear-hum", "0.01", "--wear-seed", "7"]).contains("effect"));
}

/// None of it takes its length in memory or time: with a thousandth of it this test would not end.
#[test]
fn absurd_lengths_end_in_a_sentence() {
    let desk = Desk::new();
    let patterns = [
        "mark",
        "space",
        "alternating-tones",
        "alternating-bits",
        "all-bytes",
        "walking-one",
        "random",
        "run",
    ];
    for pattern in patterns {
        for length in ["1e9", "1e18", "1e300", "99999:00:00"] {
            let args = ["tape", "--pattern", pattern, "--for", length];
            desk.run(&[&args[..], &["--out", "x.wav"]].concat())
                .refused(1, "too long");
        }
    }
    for pattern in &patterns[2..] {
        let args = ["tape", "--pattern", pattern, "--count", "4294967295"];
        desk.run(&[&args[..], &["--out", "x.wav"]].concat())
            .refused(1, "too long");
    }
    assert!(desk.files().is_empty());
}

#[test]
fn what_cannot_be_recorded_is_refused() {
    let desk = Desk::new();
    let refused = |args: &[&str], code, says: &str| {
        let made = [&["tape", "--out", "x.wav"], args].concat();
        desk.run(&made).refused(code, says);
    };
    refused(&["--text", "a", "--tape-mark", "30k"], 1, "below 24 kHz");
    refused(&["--text", "a", "--tape-mark", "1200"], 1, "both 1.2 kHz");
    refused(
        &["--text", "a", "--tape-rate", "1300"],
        1,
        "shorter than one cycle",
    );
    refused(&["--text", "\u{fc}", "--tape-data-bits", "7"], 1, "C3");
    refused(
        &["--pattern", "run", "--value", "80", "--tape-data-bits", "7"],
        1,
        "7 data bits",
    );
    desk.run(&["tape", "--text", "a", "--out", "x.mp3"])
        .refused(2, "'x.mp3' does not name a WAV file");
    assert!(desk.files().is_empty());
}

#[test]
fn what_is_rounded_is_said_and_recorded_as_made() {
    let desk = Desk::new();
    let rounded = ["--tape-leader", "1.0001", "--tape-gap", "5.1ms"];
    let args = [
        "tape", "--text", "ab", "--out", "x.wav", "--truth", "x.json",
    ];
    let ran = desk.run(&[&args[..], &rounded].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("leader 1 s, gap 5 ms"), "{}", ran.err);
    let truth = fs::read_to_string(desk.path("x.json")).unwrap();
    let truth: serde_json::Value = serde_json::from_str(&truth).unwrap();
    assert_eq!(truth["tape"]["leader"], 1.0);
    assert_eq!(truth["tape"]["gap"], 0.005);
    let at_s = |i: usize| truth["characters"][i]["at_s"].as_f64().unwrap();
    assert!((at_s(0) - 1.0).abs() < 1e-9);
    assert!((at_s(1) - 1.0 - 11.0 / 300.0 - 0.005).abs() < 1e-9);
}

/// A band-limited square at full scale is whole; any louder one is said to be cut, to the sample.
#[test]
fn the_level_is_the_peak_and_clipping_is_said() {
    let desk = Desk::new();
    let made = |level: &str| {
        let args = ["tape", "--text", "a", "--out", "x.wav", "--replace"];
        let wave = ["--tape-wave", "band-limited", "--tape-level", level];
        let ran = desk.run(&[&args[..], &wave].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        let json = desk.run(&["read", "x.wav", "--json"]).json();
        (ran.err, json["recording"]["peak_v"].as_f64().unwrap())
    };
    let (said, peak_v) = made("500mV");
    assert!((0.49..=0.5001).contains(&peak_v), "{peak_v}");
    assert!(!said.contains("clipped"), "{said}");
    assert!(!made("1").0.contains("clipped"));
    let (said, _) = made("1.001");
    assert!(said.contains("clipped"), "{said}");
}
