//! `picture`: what it writes, takes and refuses.

use crate::desk::Desk;
use std::fs;

/// Width and height in the header of a PNG file: behind the signature of eight bytes and the
/// chunk's length and name, four bytes each, the highest first (ISO/IEC 15948, 5.2 and 11.2.2).
fn png_size(bytes: &[u8]) -> (u32, u32) {
    assert_eq!(bytes[..8], *b"\x89PNG\r\n\x1a\n");
    assert_eq!(bytes[12..16], *b"IHDR");
    let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
    (number(16), number(20))
}

#[test]
fn a_picture_is_written_in_the_size_asked_for() {
    let desk = Desk::with_log();
    let draw = |out, more: &[&str]| {
        let ran = desk.run(&[&["picture", "log.wav", "--replace", "--out", out], more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    draw("p.png", &[]);
    assert_eq!(
        png_size(&fs::read(desk.path("p.png")).unwrap()),
        (1600, 1000)
    );
    draw("q.PNG", &["--size", "640x400", "--dark"]);
    assert_eq!(png_size(&fs::read(desk.path("q.PNG")).unwrap()), (640, 400));
    draw("p.svg", &["--size", "800x500"]);
    let svg = fs::read_to_string(desk.path("p.svg")).unwrap();
    assert!(svg.starts_with("<svg ") && svg.contains("width=\"800\""));
    assert_eq!(draw("-", &["--size", "800x500", "--light"]), svg.as_bytes());
    assert_ne!(draw("-", &["--size", "800x500", "--dark"]), svg.as_bytes());
    for size in ["100x100", "100x2000", "2000x100", "300x160"] {
        draw("least.png", &["--size", size]);
    }
}

#[test]
fn what_is_missing_from_a_capture_is_drawn() {
    let desk = Desk::with_log();
    let draw = |args: &[&str]| desk.run(&[&["picture", "log.wav", "--out", "-"], args].concat());
    assert!(!draw(&[]).text().contains("lost"));
    let report = r#"{"files": ["log.wav"], "gaps": [
        {"at_s": 0.3, "length_s": 0.012, "cause": "system"},
        {"at_s": 1.0, "length_s": 2, "cause": "program"}]}"#;
    fs::write(desk.path("log.capture.json"), report).unwrap();
    let early = ["--from", "0.2", "--span", "0.2"];
    let drawn = draw(&early).text().to_owned();
    // In the caption, and beside the strip.
    assert_eq!(drawn.matches("gap, 12 ms lost").count(), 2, "{drawn}");
    assert!(!drawn.contains("2 s lost"));
    let json = desk.run(&["read", "log.wav", "--json"]).json();
    assert_eq!(json["recording"]["gaps"][0]["at_s"], 0.3);
    let ran = desk.run(&["read", "log.wav"]);
    assert!(ran.err.contains("2 gaps, 2.01 s lost"), "{}", ran.err);
}

#[test]
fn a_time_is_taken_as_a_quantity_or_as_a_counter() {
    let desk = Desk::with_log();
    let draw = |from| {
        let run = desk.run(&[
            "picture", "log.wav", "--out", "-", "--span", "20ms", "--from", from,
        ]);
        run.text().to_owned()
    };
    assert_eq!(draw("0:00.500"), draw("500ms"));
    assert_eq!(draw("0.5"), draw("500ms"));
    assert_ne!(draw("0.6"), draw("500ms"));
}

#[test]
fn lanes_and_their_heights_are_those_asked_for() {
    let desk = Desk::with_log();
    let draw = |more: &[&str]| {
        let args = [&["picture", "log.wav", "--out", "-"], more].concat();
        desk.run(&args).text().to_owned()
    };
    let all = "source=2.6,squarer=1,short=1,long=1.35,characters=0.9";
    assert_eq!(draw(&["--lanes", all]), draw(&[]));
    let two = draw(&["--lanes", "characters,source"]);
    for (name, shown) in [("Source", true), ("Squarer", false), ("Characters", true)] {
        assert_eq!(two.contains(&format!(">{name}<")), shown, "{name}");
    }
    assert_ne!(draw(&["--lanes", "characters,source=9"]), two);
    assert!(draw(&["--volts", "4V"]).contains(">4 V<"));
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    let desk = Desk::with_log();
    for (code, out, more, says) in [
        (2, "p.bmp", &[][..], "let it end with .svg or .png."),
        (
            2,
            "p.svg",
            &["--size", "10x1000"],
            "each side takes 100 to 16000 points",
        ),
        (2, "p.svg", &["--size", "1000x99999"], "each side takes"),
        (2, "p.svg", &["--size", "wide"], "write it like 1600x1000"),
        (2, "p.svg", &["--from", "1:99"], "1:02.500"),
        (2, "p.svg", &["--from", "-1"], "not negative"),
        (
            2,
            "p.svg",
            &["--span", "0"],
            "A span of 0 s holds nothing; give at least 1 µs.",
        ),
        (2, "p.svg", &["--light", "--dark"], "--dark"),
        (
            2,
            "p.svg",
            &["--lanes", "sauce"],
            "there is no lane 'sauce'",
        ),
        (2, "p.svg", &["--volts", "0"], "it takes 1 mV to 1 kV"),
        (
            1,
            "p.svg",
            &["--from", "1:00"],
            "log.wav ends at 0:01.193: there is nothing from 1:00.000 on.",
        ),
    ] {
        let args = [&["picture", "log.wav", "--out", out], more].concat();
        desk.run(&args).refused(code, says);
    }
    assert_eq!(desk.files(), ["log.wav"]);
}
