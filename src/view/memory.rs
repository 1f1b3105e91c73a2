//! What one session leaves to the next: preferences, settings, the name of the bench.

use super::app::App;
use super::message::Messages;
use super::preferences::{self, Preferences};
use super::shelf::Shelf;
use crate::settings::Bench;
use crate::store::Store;
use egui::Context;

const RESTORED: &str =
    "The settings are those of the last session; Settings, Reset all sets the defaults.";

/// What a session begins with.
pub(super) struct Memory {
    pub preferences: Preferences,
    pub shelf: Shelf,
    pub bench: Bench,
    /// What there is to say of it.
    pub messages: Messages,
}

impl Memory {
    /// What the last session has left in `store`; the settings are those that are `asked` for,
    /// where any are. What does not read is set aside.
    pub fn recall(asked: Option<Bench>, store: &Store) -> Self {
        let mut failures = Vec::new();
        let mut heard = |why| failures.push(why);
        let what = "The preferences of the window";
        let preferences = store.read_or_set_aside(preferences::FILE, what, Preferences::read);
        let preferences = preferences.unwrap_or_else(|why| {
            heard(why);
            None
        });
        let preferences = preferences.unwrap_or_default();
        let mut shelf = Shelf::new(store.clone());
        // Read whatever is asked for: what does not read must not be written over.
        let last = shelf.last().unwrap_or_else(|why| {
            heard(why);
            None
        });
        let restored = last.filter(|_| asked.is_none());
        if let (Some(_), Some(name)) = (restored, &preferences.bench) {
            shelf.take_up(name);
        }
        let changed = restored.is_some_and(|last| last != Bench::default());
        let mut messages = Messages::default();
        if !failures.is_empty() {
            messages.failed(failures.join(" "));
        } else if changed {
            messages.done(RESTORED);
        }
        Self {
            bench: asked.or(restored).unwrap_or_default(),
            preferences,
            shelf,
            messages,
        }
    }
}

impl App {
    /// Keeps what the next session is to begin with.
    pub(super) fn remember(&mut self, ctx: &Context) {
        let size = ctx.content_rect().size();
        let bench = &self.session.bench;
        self.preferences.size = [size.x, size.y];
        self.preferences.load_address = self.listing.load_address;
        self.preferences.bench = self.shelf.state(bench).map(|s| s.0.to_string());
        let text = self.preferences.write();
        let kept = self.shelf.keep_last(bench);
        let kept = kept.and_then(|()| self.store.write(preferences::FILE, &text));
        if let Err(why) = kept {
            eprintln!("pulsewright: {why}");
        }
    }
}
