//! Losses told from lateness by the times at which blocks came.
//!
//! The files in `arrivals` were recorded from the virtual sound card at 48 kHz, a line for each
//! block: its frames, and when it came, in microseconds. A player had begun 1.5 s before, with a
//! buffer of two seconds; no sample was missing, as the samples themselves show. The server cut its
//! blocks of 20 ms where those of the player ended.

use pulsewright::live::GapFinder;
use pulsewright::signal::Gap;

const RECORDED: [(&str, &str); 5] = [
    (
        "the player stops",
        include_str!("arrivals/player-stops.txt"),
    ),
    (
        "the player goes on",
        include_str!("arrivals/player-goes-on.txt"),
    ),
    (
        "the player stops on a busy computer",
        include_str!("arrivals/busy-player-stops.txt"),
    ),
    (
        "the player goes on, on a busy computer",
        include_str!("arrivals/busy-player-goes-on.txt"),
    ),
    (
        "the server stands for a tenth of a second",
        include_str!("arrivals/stall.txt"),
    ),
];

/// What is found where `lost` frames are missing from `from_s` on.
fn found(blocks: &str, from_s: f64, mut lost: u64) -> Vec<Gap> {
    let mut finder = GapFinder::new(48_000);
    for line in blocks.lines() {
        let (frames, came_us) = line.split_once(' ').unwrap();
        let (mut frames, came_us): (u64, f64) = (frames.parse().unwrap(), came_us.parse().unwrap());
        let came_s = came_us * 1e-6;
        if came_s > from_s {
            let less = frames.min(lost);
            (frames, lost) = (frames - less, lost - less);
        }
        if frames > 0 {
            finder.arrived(frames, 0, came_s);
        }
    }
    finder.gaps().to_vec()
}

#[test]
fn blocks_that_were_cut_are_no_loss() {
    for (name, blocks) in RECORDED {
        assert_eq!(found(blocks, 0.0, 0), [], "{name}");
    }
}

#[test]
fn what_is_missing_from_cut_blocks_is_found() {
    for (name, blocks) in RECORDED {
        for (from_s, lost_s) in [(0.3, 0.016), (1.2, 0.016), (1.2, 0.02), (1.7, 0.24)] {
            let gaps = found(blocks, from_s, (lost_s * 48e3) as u64);
            let [gap] = gaps[..] else {
                panic!("{name}, {lost_s} s from {from_s} s: {gaps:?}")
            };
            // Of a block that lost its beginning, the rest may pass for one that came in time.
            let short_s = lost_s - gap.length_s;
            assert!((-1e-3..0.02).contains(&short_s), "{name}: {gap:?}");
            assert!((gap.at_s - from_s).abs() < 0.2, "{name}: {gap:?}");
        }
    }
}
