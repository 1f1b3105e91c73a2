use super::*;
use crate::live::{Feed, Format};
use crate::source::Sample;
use std::path::Path;
use std::time::{Duration, Instant};
use tempfile::TempDir;

const FORMAT: Format = Format {
    rate_hz: 8000,
    channels: 1,
    sample: Sample::Integer16,
};
const PATIENCE: Duration = Duration::from_secs(10);

/// A desk that listens to a feed in place of a device, with a second of silence captured.
fn listening() -> (ListenDesk, Feed, TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let mut desk = ListenDesk::start(Wanted::default(), || {}).unwrap();
    let mut feed = desk.listen_to_a_feed(folder.path());
    feed.push(&[0; 16_000], 1_000_000_000);
    (desk, feed, folder)
}

impl ListenDesk {
    /// Listens to a feed in place of a device, into `tide.wav` in this folder.
    pub(in crate::view) fn listen_to_a_feed(&mut self, folder: &Path) -> Feed {
        let request = Request::new(Bench::default(), folder.join("tide.wav"));
        let begun = Capture::from_feed(request.clone(), "the lost deck", FORMAT, || {});
        let (capture, feed) = begun.unwrap();
        assert!(self.begun(request, Ok(capture)).is_none());
        feed
    }
}

/// Looks until a hand is what is waited for.
fn wait_for<T>(desk: &mut ListenDesk, wanted: impl Fn(ListenHand) -> Option<T>) -> T {
    let by = Instant::now() + PATIENCE;
    loop {
        let hands = desk.look(&Bench::default(), 0.25);
        if let Some(found) = hands.into_iter().find_map(&wanted) {
            return found;
        }
        assert!(Instant::now() < by, "it never comes");
        std::thread::sleep(Duration::from_millis(2));
    }
}

fn rolled(hand: ListenHand) -> Option<Box<Rolled>> {
    match hand {
        ListenHand::Roll(rolled) if rolled.recording.duration_s() > 0.0 => Some(rolled),
        _ => None,
    }
}

fn looked(hand: ListenHand) -> Option<(PathBuf, Option<Span>)> {
    match hand {
        ListenHand::Look(file, span) => Some((file, span)),
        _ => None,
    }
}

#[test]
fn frozen_lanes_show_of_the_file_what_rolled_last() {
    let (mut desk, mut feed, folder) = listening();
    wait_for(&mut desk, rolled);
    let shown = desk.rolled.unwrap();
    assert_eq!((shown.from_s, shown.to_s), (0.75, 1.0));
    desk.freeze(shown);
    let (file, span) = wait_for(&mut desk, looked);
    assert_eq!(file, folder.path().join("tide.wav"));
    assert_eq!(span, Some(shown));
    // All of it is in the file, behind the header of 44 bytes.
    assert_eq!(std::fs::metadata(&file).unwrap().len(), 44 + 16_000);
    feed.push(&[0; 1600], 1_100_000_000);
    std::thread::sleep(Duration::from_millis(50));
    let hands = desk.look(&Bench::default(), 0.25);
    assert!(hands.into_iter().all(|hand| rolled(hand).is_none()));
}

#[test]
fn what_is_lost_can_be_connected_again_on_the_same_device() {
    let (mut desk, feed, folder) = listening();
    wait_for(&mut desk, rolled);
    assert!(desk.reconnect(&Bench::default()).is_err());
    feed.fail("The plug was pulled.");
    // What rolled last stays in view.
    let (file, span) = wait_for(&mut desk, looked);
    assert_eq!(span, Some(Span::new(0.75, 0.25)));
    let lost = desk.lost.as_ref().unwrap();
    assert!(lost.why.starts_with("The plug was pulled. 1 s are kept"));
    let device = lost.request.wanted.device.as_deref();
    assert_eq!(device, Some("the lost deck"));
    assert!(desk.has_bar() && file.exists());
    // No computer has that device: it stays lost, with the reason.
    assert_eq!(desk.reconnect(&Bench::default()), Ok(()));
    let by = Instant::now() + PATIENCE;
    while desk
        .lost
        .as_ref()
        .is_some_and(|l| l.why.contains("plug was"))
    {
        desk.look(&Bench::default(), 0.25);
        assert!(Instant::now() < by, "it never answers");
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(desk.has_bar());
    assert!(!folder.path().join("tide-again.wav").exists());
}

#[test]
fn what_ends_before_a_sample_came_leaves_nothing_to_look_at() {
    let folder = tempfile::tempdir().unwrap();
    let mut desk = ListenDesk::start(Wanted::default(), || {}).unwrap();
    let _feed = desk.listen_to_a_feed(folder.path());
    desk.stop();
    let by = Instant::now() + PATIENCE;
    let mut hands = Vec::new();
    while hands.is_empty() {
        hands = desk.look(&Bench::default(), 0.25);
        assert!(Instant::now() < by, "it never ends");
        std::thread::sleep(Duration::from_millis(2));
    }
    let [ListenHand::Say(Ok(said))] = &hands[..] else {
        panic!("{} hands", hands.len())
    };
    assert!(said.starts_with("Nothing came; "), "{said}");
}
