//! `picture`: what it takes and refuses.

use crate::desk::Desk;

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
            "A span of 0 s shows nothing; give at least 1 µs.",
        ),
        (2, "p.svg", &["--light", "--dark"], "--dark"),
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
