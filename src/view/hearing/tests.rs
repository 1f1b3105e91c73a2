//! A window that listens to a feed in place of a device.

use crate::export;
use crate::live::Feed;
use crate::picture::Span;
use crate::settings::TapeSettings;
use crate::store::Store;
use crate::study::Comparison;
use crate::tape;
use crate::view::app::{App, Held};
use crate::view::message::Message;
use crate::view::sound::ListenHand;
use crate::view::{Action, Request};
use egui::{Context, RawInput};
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
        };
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

    fn frame(&mut self) {
        let drawn = self.ctx.run_ui(RawInput::default(), |ui| self.app.show(ui));
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
