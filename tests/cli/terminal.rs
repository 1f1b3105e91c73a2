//! What is printed does nothing to a terminal, and is said in plain words, whatever files hold.

use crate::desk::{Desk, Ran};
use crate::usage::JARGON;
use std::fs;

/// A file name that clears a screen, turns a text around, and begins a line of its own.
const NASTY: &str = "a\x1b[2J\u{202E}vaw\u{9b}1m\nb.wav";

/// Checks that neither output holds what a terminal would obey.
fn harmless(ran: &Ran) {
    let out = std::str::from_utf8(&ran.out).unwrap();
    for text in [out, &ran.err] {
        let obeyed = |c: char| (c.is_control() && c != '\n' && c != '\t') || c == '\u{202E}';
        assert!(!text.contains(obeyed), "{text:?}");
        // No line begins within the name.
        assert!(!text.lines().any(|l| l.starts_with("b.wav")), "{text:?}");
    }
}

#[test]
fn names_of_files_are_written_out() {
    let desk = Desk::with_log();
    fs::copy(desk.path("log.wav"), desk.path(NASTY)).unwrap();
    let ran = desk.run(&["read", NASTY]);
    harmless(&ran);
    assert!(
        ran.err
            .contains("a\\u001b[2J\\u202evaw\\u009b1m\\u000ab.wav")
    );
    let ran = desk.run(&["read", NASTY, "log.wav"]);
    harmless(&ran);
    assert!(ran.text().starts_with("a\\u001b[2J"), "{}", ran.text());
    let ran = desk.run(&["read", NASTY, "--json"]);
    harmless(&ran);
    assert_eq!(ran.json()["recording"]["path"], NASTY);
    for args in [
        &["read", NASTY, "--bytes", NASTY][..],
        &["picture", "log.wav", "--out", NASTY],
        &["read", "log.wav", "--bench", NASTY],
        &["read", "log.wav", "--preset", NASTY],
        &["read", "log.wav", "--short-width", NASTY],
        &["read", "log.wav", "--load-address", NASTY],
        &["read", "log.wav", NASTY, "--from", NASTY],
        &[NASTY, NASTY],
        &["\x1b[31m"],
        &["read", "--\x1b[31m"],
    ] {
        let ran = desk.run(args);
        assert_ne!(ran.code, 0, "{args:?}");
        harmless(&ran);
    }
}

#[test]
fn what_files_hold_is_written_out() {
    let desk = Desk::with_log();
    let report = r#"{"files": ["log.wav"], "gaps": [{"at_s": 0.1, "length_s": 0.02, "cause": "\u001b[31mred\u202e"}]}"#;
    fs::write(desk.path("log.capture.json"), report).unwrap();
    for args in [&["read", "log.wav"][..], &["read", "log.wav", "--json"]] {
        let ran = desk.run(args);
        assert_eq!(ran.code, 0);
        harmless(&ran);
    }
    for bench in [
        "[short]\nwidth = \"\\u001b[31m\"\n",
        "[\"\\u001b[31m\"]\n",
        "[short]\n\"\\u001b[31m\" = 1\n",
    ] {
        fs::write(desk.path("nasty.toml"), bench).unwrap();
        let ran = desk.run(&["read", "log.wav", "--bench", "nasty.toml"]);
        assert_eq!(ran.code, 1, "{}", ran.err);
        harmless(&ran);
    }
}

/// Files that begin as each kind does and go on with nonsense, and files of no use as what they
/// are given for.
#[test]
fn no_sentence_has_the_words_of_a_parser_or_the_number_of_an_error() {
    let desk = Desk::with_log();
    let nonsense: Vec<u8> = (0..4000u32).map(|n| (n * n / 7 % 256) as u8).collect();
    let heads: [(&str, &[u8]); 8] = [
        ("wav", b"RIFF\xFF\xFF\0\0WAVEfmt \x10\0\0\0\x55\x00"),
        (
            "adpcm",
            b"RIFF\xFF\xFF\0\0WAVEfmt \x32\0\0\0\x02\x00\x01\0\x44\xAC\0\0",
        ),
        ("flac", b"fLaC\0\0\0\x22"),
        ("mp3", b"ID3\x03\0\0\0\0\0\x0A"),
        ("ogg", b"OggS\0\x02\0\0\0\0\0\0\0\0"),
        ("aiff", b"FORM\0\0\x10\0AIFFCOMM\0\0\0\x12"),
        ("m4a", b"\0\0\0\x20ftypM4A \0\0\0\0"),
        ("empty", b""),
    ];
    for (name, head) in heads {
        fs::write(desk.path(name), [head, &nonsense].concat()).unwrap();
    }
    fs::write(desk.path("torn.toml"), "[short\nwidth = = 1").unwrap();
    fs::write(desk.path("odd.toml"), "short = 1").unwrap();
    fs::write(desk.path("raw.toml"), [0xFF, 0xFE, 0x00]).unwrap();
    fs::write(desk.path("torn.json"), "{\"characters\": [").unwrap();
    fs::write(
        desk.path("odd.json"),
        "{\"characters\": [{\"value\": 300}]}",
    )
    .unwrap();
    fs::write(desk.path("plain.json"), "tide").unwrap();
    fs::copy(desk.path("log.wav"), desk.path("cut.wav")).unwrap();
    fs::write(desk.path("cut.capture.json"), "{\"files\": 1}").unwrap();
    fs::create_dir(desk.path("folder")).unwrap();
    let mut lines: Vec<Vec<&str>> = heads.iter().map(|(name, _)| vec!["read", *name]).collect();
    for bench in [
        "torn.toml",
        "odd.toml",
        "raw.toml",
        "none.toml",
        "folder",
        "log.wav/x",
    ] {
        lines.push(vec!["read", "log.wav", "--bench", bench]);
    }
    for truth in ["torn.json", "odd.json", "plain.json", "none.json", "folder"] {
        lines.push(vec!["score", "log.wav", "--truth", truth]);
    }
    lines.push(vec!["read", "cut.wav"]);
    lines.push(vec!["read", "folder"]);
    lines.push(vec!["read", "log.wav/x"]);
    lines.push(vec!["tape", "--file", "folder", "--out", "a.wav"]);
    lines.push(vec!["picture", "log.wav", "--out", "folder/none/a.svg"]);
    lines.push(vec!["read", "log.wav", "--bytes", "folder"]);
    for line in &lines {
        let ran = desk.run(line);
        assert!(
            ran.code == 1 || *line == ["read", "cut.wav"],
            "{line:?}: {}",
            ran.err
        );
        for word in JARGON {
            assert!(!ran.err.contains(word), "{line:?}: {}", ran.err);
        }
    }
}
