//! A window that listens to a feed in place of a device.

use crate::export;
use crate::live::Feed;
use crate::picture::{self, Ink, Item, Span};
use crate::settings::TapeSettings;
use crate::signal::Recording;
use crate::store::Store;
use crate::study::Comparison;
use crate::tape;
use crate::view::app::{App, Held};
use crate::view::keep::{Kept, Waiting};
use crate::view::message::Message;
use crate::view::side::Side;
use crate::view::sound::ListenHand;
use crate::view::{Action, Request};
use egui::{Context, Pos2, RawInput, Rect, vec2};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const PATIENCE: Duration = Duration::from_secs(10);

/// A window that listens to a feed, with what it draws on.
struct Desk {
    app: App,
    feed: Feed,
    ctx: Context,
    folder: TempDir,
    /// Where the feed's clock stands, in tenths of a second.
    tenths: u64,
    /// The labels and values on the screen.
    labels: Vec<String>,
}

/// A text on a tape of the sample rate at which the feed is heard.
fn played(text: &str) -> Recording {
    let settings = TapeSettings {
        sample_rate_hz: 8000,
        leader_s: 1.0,
        trailer_s: 0.5,
        ..TapeSettings::default()
    };
    tape::record(text.as_bytes(), &settings)
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let tape = tape::record(b"TIDE", &TapeSettings::default());
        std::fs::write(
            folder.path().join("other.wav"),
            export::wav(&tape, 1.0).unwrap(),
        )
        .unwrap();
        let (ctx, store) = (Context::default(), Store::at(folder.path()));
        let mut app = App::new(&ctx, Request::default(), store).unwrap();
        let feed = app.listener.listen_to_a_feed(folder.path());
        let mut desk = Self {
            app,
            feed,
            ctx,
            folder,
            tenths: 0,
            labels: Vec::new(),
        };
        desk.ctx.enable_accesskit();
        for _ in 0..10 {
            desk.hear();
        }
        desk.until(|app| app.end_s() > 0.9 && app.session.document().is_some());
        desk
    }

    /// A tenth of a second of silence comes.
    fn hear(&mut self) {
        self.tenths += 1;
        self.feed.push(&[0; 1600], self.tenths * 100_000_000);
    }

    /// A tape comes, as fast as it is taken, and so many tenths of a second of silence after it.
    fn hear_tape(&mut self, tape: &Recording, silence: usize) {
        let samples = tape.samples();
        let samples = samples.iter().map(|v| (v * 32_000.0) as i16);
        let bytes: Vec<u8> = samples.flat_map(i16::to_le_bytes).collect();
        let tenths = bytes.chunks_exact(1600).map(<[u8]>::to_vec);
        let silence = std::iter::repeat_n(vec![0; 1600], silence);
        for tenth in tenths.chain(silence).collect::<Vec<_>>() {
            self.tenths += 1;
            self.feed.push(&tenth, self.tenths * 100_000_000);
            // The ring holds some seconds.
            if self.tenths.is_multiple_of(20) {
                self.until_captured();
            }
        }
        self.until_captured();
    }

    fn until_captured(&mut self) {
        let all_s = self.tenths as f64 / 10.0;
        self.until(|app| app.listener.captured().traces.end_s > all_s - 0.01);
        self.frame();
    }

    /// Whether some label on the screen holds these words.
    fn shows(&self, words: &str) -> bool {
        self.labels.iter().any(|label| label.contains(words))
    }

    fn frame(&mut self) {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1440.0, 900.0))),
            ..RawInput::default()
        };
        let mut drawn = self.ctx.run_ui(input, |ui| self.app.show(ui));
        if let Some(update) = drawn.platform_output.accesskit_update.take() {
            let nodes = update.nodes.iter().map(|(_, node)| node);
            let texts = nodes.flat_map(|node| [node.label(), node.value()]);
            self.labels = texts.flatten().map(str::to_owned).collect();
        }
        drawn.drop_without_applying_deltas();
        std::thread::sleep(Duration::from_millis(2));
    }

    fn until(&mut self, holds: impl Fn(&App) -> bool) {
        let by = Instant::now() + PATIENCE;
        while !holds(&self.app) {
            assert!(Instant::now() < by, "it never comes");
            self.frame();
        }
    }

    /// Waits until a file is open and read.
    fn until_open(&mut self, name: &str) {
        self.until(|app| app.session.document().is_some_and(|d| d.about.name == name));
        self.until(|app| !app.session.is_reading());
        self.frame();
    }

    /// Freezes on the last quarter of a second, and takes the hands up to the file's.
    fn freeze(&mut self) {
        let stands = Span::new(0.7, 0.25);
        self.app.listener.freeze(stands);
        self.until(|app| app.look_at.is_some());
        assert_eq!(self.app.look_at, Some(stands));
    }

    fn act(&mut self, action: Action) {
        self.app.act(action, &self.ctx);
    }

    fn says(&self, words: &str) -> bool {
        match self.app.messages.present() {
            Some(Message::Done(said) | Message::Failed(said)) => said.contains(words),
            None => false,
        }
    }
}

#[test]
fn what_rolls_cannot_be_held() {
    let mut desk = Desk::new();
    desk.act(Action::Hold);
    assert!(desk.app.held.is_none());
    assert!(desk.says("freeze them first"));
    // What was held while it stood still is let go of when it rolls on.
    desk.app.held = Some(Held {
        traces: desk.app.session.whole(),
        comparison: Comparison::default(),
    });
    desk.hear();
    desk.until(|app| app.held.is_none());
}

#[test]
fn what_stands_still_stays_in_view_where_listening_ends_before_it_is_open() {
    let mut desk = Desk::new();
    desk.freeze();
    // The capture ends, and its file is opened once more before it has been there.
    let file = desk.folder.path().join("tide.wav");
    desk.app.take_listen_hand(ListenHand::Look(file, None));
    desk.until_open("tide.wav");
    assert_eq!(desk.app.span, Span::new(0.7, 0.25));
    assert_eq!(desk.app.look_at, None);
}

#[test]
fn a_stretch_of_the_capture_is_not_looked_for_in_another_recording() {
    let mut desk = Desk::new();
    desk.freeze();
    let other = desk.folder.path().join("other.wav");
    desk.app.open(other.clone());
    assert_eq!(desk.app.look_at, None);
    // Nor where its own file cannot be opened.
    let gone = desk.folder.path().join("gone.wav");
    let stretch = Some(Span::new(0.7, 0.25));
    desk.app.take_listen_hand(ListenHand::Look(gone, stretch));
    desk.until(|app| app.look_at.is_none());
    assert!(desk.says("gone.wav"));
    desk.app.session.open(other);
    desk.until_open("other.wav");
    // The leader is five seconds long.
    assert!(desk.app.span.from_s > 4.9, "{:?}", desk.app.span);
}

#[test]
fn what_is_opened_by_hand_stays_while_the_capture_goes_on() {
    let mut desk = Desk::new();
    desk.app.open(desk.folder.path().join("other.wav"));
    assert!(desk.says("The capture goes on and is kept"));
    desk.until_open("other.wav");
    for _ in 0..5 {
        desk.hear();
        desk.frame();
    }
    desk.until_open("other.wav");
    // Nor does the end of the capture take it away.
    desk.feed.fail("The plug was pulled.");
    desk.until(|app| !app.listener.is_running());
    assert_eq!(desk.app.session.opening_percent(), None);
    desk.until_open("other.wav");
    let kept = std::fs::metadata(desk.folder.path().join("tide.wav")).unwrap();
    assert_eq!(kept.len(), 44 + 15 * 1600);
}

/// A text, and then silence until it has left the stretch in the lanes.
#[test]
fn listing_card_and_overview_keep_what_has_rolled_out_of_the_lanes() {
    let mut desk = Desk::new();
    desk.app.preferences.side = Some(Side::Listing);
    desk.hear_tape(&played("TIDE LOG"), 40);
    desk.hear_tape(&played("SALTMERE"), 40);
    assert!(desk.app.session.whole().characters.is_empty());
    assert_eq!(desk.app.listed().0.bytes(), b"TIDE LOGSALTMERE");
    assert!(
        desk.shows("54 49 44 45 20 4C 4F 47 TIDE LOG"),
        "{:?}",
        desk.labels
    );
    assert!(desk.shows("53 41 4C 54 4D 45 52 45 SALTMERE"));
    assert!(!desk.shows("No character yet"));
    let both = "16 characters captured in 2 blocks, 0 with faults";
    assert!(desk.shows(both), "{:?}", desk.labels);
    assert!(desk.shows("16 characters, 0 with faults"), "in the bar");
    // In the overview: a block and a leader for each text, and the course of the signal.
    let captured = desk.app.listener.captured();
    assert_eq!(captured.layout.blocks, [0..8, 8..16]);
    let strip = picture::Rect {
        x: 0.0,
        y: 0.0,
        w: 1000.0,
        h: 48.0,
    };
    let drawn = desk.app.listener.overview(strip, 1.0).items;
    let bars = |ink: Ink| {
        let bars = drawn.iter().filter_map(|item| match item {
            Item::Fill { rect, paint, .. } if paint.ink == ink => Some(rect.w),
            _ => None,
        });
        bars.collect::<Vec<_>>()
    };
    assert_eq!(bars(Ink::Character).len(), 2);
    let leaders = bars(Ink::Squarer);
    assert!(leaders.len() >= 2, "{leaders:?}");
    let end_s = captured.traces.end_s;
    let loud = drawn.iter().find_map(|item| match item {
        Item::Columns { extents, .. } => Some(extents),
        _ => None,
    });
    let loud = loud
        .unwrap()
        .iter()
        .filter(|[top, bottom]| bottom - top > 10.0);
    let tapes_s = 2.0 * played("TIDE LOG").duration_s();
    let part = loud.count() as f64 / 1000.0;
    assert!((part - tapes_s / end_s).abs() < 0.02, "{part}");
}

/// All of it is kept, and not only the stretch in the lanes; its traces are no longer there.
#[test]
fn bytes_are_kept_of_all_that_was_captured() {
    let mut desk = Desk::new();
    desk.hear_tape(&played("TIDE LOG"), 40);
    desk.app.ask.typed_only = true;
    desk.act(Action::SaveCsv);
    assert!(desk.says("freeze them first"));
    assert!(!desk.app.ask.is_open());
    desk.act(Action::SaveBytes);
    let Some(Waiting::View(view)) = desk.app.waiting.take() else {
        panic!("nothing waits");
    };
    let path = desk.folder.path().join("log.bin");
    desk.app
        .keeper
        .keep(&desk.ctx, *view, Kept::Bytes, path.clone());
    desk.until(|app| !app.keeper.is_busy());
    assert_eq!(std::fs::read(path).unwrap(), b"TIDE LOG");
}

/// A character that has rolled out of the lanes is shown in the file.
#[test]
fn the_lanes_stand_still_at_a_listed_character_that_they_have_left() {
    let mut desk = Desk::new();
    desk.hear_tape(&played("TIDE LOG"), 40);
    let c = desk.app.listed().0.characters[3];
    desk.app.select_listed(3..4);
    desk.until_open("tide.wav");
    let span = desk.app.span;
    assert!(span.contains(c.at_s), "{span:?}");
    assert_eq!(desk.app.session.whole().bytes(), b"TIDE LOG");
    assert!(!desk.app.session.is_stretch());
}
