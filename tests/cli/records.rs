//! `read --records`: the records are read back by a program that this project did not write
//! (objcopy and objdump of GNU binutils, which every gcc needs).

use crate::desk::{Desk, LOG};
use std::fs;
use std::process::Command;

fn run(desk: &Desk, program: &str, args: &[&str]) -> String {
    let ran = Command::new(program)
        .args(args)
        .current_dir(desk.path("."))
        .output()
        .unwrap_or_else(|e| panic!("{program} of GNU binutils: {e}"));
    let said = String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success(), "{said}");
    String::from_utf8(ran.stdout).unwrap()
}

/// The bytes of a file of records, and the address of the first.
fn read_back(desk: &Desk, name: &str, format: &str) -> (Vec<u8>, u32) {
    run(
        desk,
        "objcopy",
        &["-I", format, "-O", "binary", name, "back.bin"],
    );
    // Index, name, size, address in hexadecimal.
    let sections = run(desk, "objdump", &["-h", "-b", format, name]);
    let rows = sections
        .lines()
        .map(|row| row.split_whitespace().collect::<Vec<_>>());
    let first = rows
        .into_iter()
        .find(|row| row.first() == Some(&"0"))
        .unwrap();
    let address = u32::from_str_radix(first[3], 16).unwrap();
    (fs::read(desk.path("back.bin")).unwrap(), address)
}

#[test]
fn records_hold_the_bytes_at_their_address() {
    let desk = Desk::with_log();
    for (text, address) in [
        ("0x0280", 0x0280),
        ("$FFF8", 0xFFF8),
        ("65536", 0x1_0000),
        ("0x12345678", 0x1234_5678),
    ] {
        for (out, format) in [("log.hex", "ihex"), ("log.S19", "srec")] {
            let args = ["read", "log.wav", "--records", out, "--load-address", text];
            let args = [&args[..], &["--replace"]].concat();
            let ran = desk.run(&args);
            assert!(ran.text().contains("SALTMERE") && ran.err.contains("23 characters"));
            let (bytes, first) = read_back(&desk, out, format);
            assert_eq!(bytes, LOG.as_bytes(), "{out} {text}");
            assert_eq!(first, address, "{out}");
        }
    }
}

/// A record that has changed is noticed by the other program: its check is a check.
#[test]
fn a_changed_record_is_noticed() {
    let desk = Desk::with_log();
    for (out, format) in [("log.hex", "ihex"), ("log.s19", "srec")] {
        desk.run(&["read", "log.wav", "--records", out]).text();
        let text = fs::read_to_string(desk.path(out)).unwrap();
        fs::write(desk.path(out), text.replacen("5341", "5342", 1)).unwrap();
        let args = ["-I", format, "-O", "binary", out, "back.bin"];
        let mut command = Command::new("objcopy");
        let ran = command
            .args(args)
            .current_dir(desk.path("."))
            .output()
            .unwrap();
        assert!(!ran.status.success(), "{out}");
    }
}

#[test]
fn records_go_to_standard_output_in_place_of_the_listing() {
    let desk = Desk::with_log();
    let ran = desk.run(&["read", "log.wav", "--records", "-", "--bytes", "log.bin"]);
    assert!(
        ran.text().starts_with(":1000000053414C54"),
        "{}",
        ran.text()
    );
    assert!(ran.text().ends_with(":00000001FF\n") && ran.err.contains("23 characters"));
    assert_eq!(fs::read(desk.path("log.bin")).unwrap(), LOG.as_bytes());
    for more in [&["--json"][..], &["--bytes", "-"]] {
        let args = [&["read", "log.wav", "--records", "-"], more].concat();
        desk.run(&args).refused(2, "only one of");
    }
}

#[test]
fn what_cannot_be_written_as_records_is_refused() {
    let desk = Desk::with_log();
    let read = |more: &[&str]| desk.run(&[&["read", "log.wav"], more].concat());
    read(&["--records", "log.txt"]).refused(2, ".hex or .s19");
    read(&["--load-address", "0"]).refused(2, "--records");
    read(&["--records", "log.hex", "--load-address", "start"]).refused(2, "0x0280");
    let end = ["--records", "log.hex", "--load-address", "0xFFFFFFF0"];
    read(&end).refused(1, "23 bytes from 0xFFFFFFF0 on do not fit");
    assert_eq!(desk.files(), ["log.wav"]);
}
