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
    desk.run(&["tape", "--text", "a", "--file", "b", "--out", "x.wav"])
        .refused(2, "--file");
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
