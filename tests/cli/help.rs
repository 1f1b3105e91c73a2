//! Help, timing parts, completions, and what happens without a display.

use crate::desk::Desk;

#[test]
fn the_help_is_short_and_the_version_is_told() {
    let desk = Desk::new();
    let help = desk.run(&["--help"]);
    for says in ["read", "picture", "Examples:", "saltmere-300.wav"] {
        assert!(help.text().contains(says), "{}", help.text());
    }
    assert!(help.text().lines().count() < 45 && !help.text().contains("--short-width"));
    assert!(
        desk.run(&["read", "--help"])
            .text()
            .contains("--short-width")
    );
    let version = format!("pulsewright {}\n", env!("CARGO_PKG_VERSION"));
    assert_eq!(desk.run(&["--version"]).text(), version);
}

#[test]
fn a_misspelt_command_is_wrong_usage() {
    let desk = Desk::with_log();
    desk.run(&["raed", "log.wav"])
        .refused(2, "'raed' is neither a command nor a file");
    desk.run(&["log.wav", "read"]).refused(2, "read");
    desk.run(&["read", "--nothing"]).refused(2, "--nothing");
}

/// A row of a table of `parts`, in words.
fn row(desk: &Desk, part: &str, args: &[&str]) -> Vec<String> {
    let ran = desk.run(&[&["parts"], args].concat());
    let row = ran
        .text()
        .lines()
        .find(|l| l.starts_with(&format!("{part} ")));
    row.unwrap()
        .split("  ")
        .map(|w| w.trim().into())
        .filter(|w: &String| !w.is_empty())
        .collect()
}

/// Floyd, Digital Fundamentals, Example 7-12: 1 us with 560 pF on a 74LS122 needs 4.88 kohm, for
/// which 4.7 kohm is taken.
#[test]
fn the_nearest_resistor_is_found() {
    let row = row(
        &Desk::new(),
        "74ls122",
        &["--width", "1us", "--capacitor", "560p"],
    );
    assert_eq!(row[1..3], ["4.88 kΩ", "4.7 kΩ"]);
    // 0.32 x 560 pF x (4.7 + 0.7) kohm.
    assert_eq!(row[3], "967.7 ns");
}

/// TI SN54/74123 data sheet SDLS043 (from memory): 0.28 R C (1 + 0.7 kohm / R).
#[test]
fn the_width_of_given_parts_is_told() {
    let desk = Desk::new();
    let width = |r| row(&desk, "74123", &["--resistor", r, "--capacitor", "100n"])[1].clone();
    assert_eq!(width("22k"), "635.6 µs");
    assert_eq!(width("82k"), "2.3156 ms");
    let formula = row(&desk, "74123", &[]);
    assert!(formula[1].starts_with("0.280 R C") && formula[3].contains("SDLS043"));
    // The 0.7 kohm inside the part alone hold longer than 1 us with 100 nF.
    assert_eq!(
        row(&desk, "74123", &["--width", "1us", "--capacitor", "100n"])[1],
        "none"
    );
}

#[test]
fn parts_want_values_that_belong_together() {
    let desk = Desk::new();
    desk.run(&["parts", "--capacitor", "100n"])
        .refused(2, "--resistor");
    desk.run(&["parts", "--width", "1ms", "--capacitor", "100"])
        .refused(2, "write the prefix too");
    desk.run(&["parts", "--width", "1ms"])
        .refused(2, "--capacitor");
    desk.run(&["parts", "--resistor", "1k"])
        .refused(2, "--width");
    desk.run(&[
        "parts",
        "--width",
        "1ms",
        "--resistor",
        "1k",
        "--capacitor",
        "1n",
    ])
    .refused(2, "--resistor");
    desk.run(&["parts", "--width", "0", "--capacitor", "1n"])
        .refused(2, "more than nothing");
    desk.run(&["parts", "--resistor", "big", "--capacitor", "1n"])
        .refused(2, "22k");
}

/// DM74LS123 data sheet DS006386 (from memory): 0.37 R C, for C of 1 nF and more.
#[test]
fn a_resistor_and_a_width_give_the_capacitor() {
    let desk = Desk::new();
    let row = |part, args: &[&str]| row(&desk, part, args);
    let with_4k7 = row("74ls123", &["--resistor", "4k7", "--width", "589us"]);
    // 589 us / (0.37 x 4.7 kohm) = 338.7 nF, for which 330 nF is taken (E12, IEC 60063).
    assert_eq!(with_4k7[1..3], ["339 nF", "330 nF"]);
    // 0.37 x 4.7 kohm x 330 nF.
    assert_eq!(with_4k7[3..5], ["573.9 µs", "-2.6%"]);
    assert!(!with_4k7[5].contains("beyond its range"), "{with_4k7:?}");
}

#[test]
fn parts_beyond_the_stated_range_are_said_to_be_so() {
    let desk = Desk::new();
    let last = |part, args: &[&str]| row(&desk, part, args).pop().unwrap();
    let small = ["--resistor", "22k", "--capacitor", "560p"];
    assert!(last("74ls123", &small).contains("beyond its range: 560 pF is less than the 1 nF"));
    assert!(!last("4538", &small).contains("beyond"));
    let at_the_limit = ["--resistor", "22k", "--capacitor", "1n"];
    assert!(!last("74ls123", &at_the_limit).contains("beyond"));
    assert!(last("4098", &at_the_limit).contains("10 nF"));
    let wanted = ["--width", "1us", "--capacitor", "560p"];
    assert!(last("74ahc123", &wanted).contains("beyond its range"));
    let wanted = ["--width", "1us", "--resistor", "10k"];
    assert!(last("74ahc123", &wanted).contains("beyond its range: 100 pF"));
}

#[test]
fn completions_are_printed_for_each_shell() {
    let desk = Desk::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        assert!(
            desk.run(&["completions", shell])
                .text()
                .contains("framer-parity"),
            "{shell}"
        );
    }
    desk.run(&["completions", "slate"]).refused(2, "slate");
}

#[test]
fn a_window_wants_a_display_and_a_file() {
    let desk = Desk::with_log();
    desk.run(&["view", "-"])
        .refused(if cfg!(feature = "window") { 2 } else { 1 }, "window");
    if cfg!(target_os = "linux") {
        for args in [
            &[][..],
            &["log.wav"],
            &["view", "log.wav"],
            &["--short-width", "1ms"],
        ] {
            desk.run(args).refused(1, "window");
        }
    }
    desk.run(&["--short-width", "wide"])
        .refused(2, "short-width");
}
