//! Keys: how they are written, and which actions they ask for.

use super::action::{Action, Entry, entries};
use super::lane_area;
use egui::{Event, InputState, Key, Modifiers, Popup, Ui};

impl Entry {
    /// The key in words, empty where there is none.
    pub fn key_text(&self) -> String {
        let Some((modifiers, key)) = self.key else {
            return String::new();
        };
        let mut words = Vec::new();
        if modifiers.command {
            words.push("Ctrl");
        }
        if modifiers.shift {
            words.push("Shift");
        }
        words.push(match key {
            Key::ArrowLeft => "Left",
            Key::ArrowRight => "Right",
            Key::ArrowUp => "Up",
            Key::ArrowDown => "Down",
            Key::Comma => ",",
            Key::Period => ".",
            Key::Plus => "+",
            Key::Minus => "-",
            Key::Questionmark => "?",
            key => key.symbol_or_name(),
        });
        words.join("+")
    }
}

/// What else may want a key.
#[derive(Clone, Copy, Debug, Default)]
struct Others {
    /// A text is being typed.
    typing: bool,
    /// A control has the focus, or a list or menu is open.
    moving: bool,
    /// A question waits for its answer.
    asking: bool,
}

impl Others {
    fn of(ui: &Ui) -> Self {
        let focused = ui.memory(|m| m.focused());
        Self {
            typing: ui.text_edit_focused(),
            moving: Popup::is_any_open(ui.ctx()) || focused.is_some_and(|id| id != lane_area::id()),
            asking: ui.memory(|m| m.top_modal_layer().is_some()),
        }
    }

    /// Whether they leave this key to the window.
    fn leave(self, modifiers: Modifiers, key: Key) -> bool {
        // Those with which a slider is moved and a list gone through.
        let moves = matches!(
            key,
            Key::ArrowLeft | Key::ArrowRight | Key::ArrowUp | Key::ArrowDown | Key::Home | Key::End
        );
        // Those of the text itself.
        let edits = !modifiers.command || key == Key::Z;
        !(self.asking || self.typing && edits || self.moving && moves && !modifiers.command)
    }
}

/// The actions whose keys were pressed and are not wanted elsewhere. What follows a key that begins
/// the typing of a text is that text, also where a slow frame brings both at once.
pub fn pressed(ui: &Ui) -> Vec<Action> {
    let others = Others::of(ui);
    let hits = ui.input_mut(|input| {
        let typed = input.events.split_off(end_of_keys(&input.events, others));
        let hits = hits(input, others);
        input.events.extend(typed);
        hits
    });
    if !hits.is_empty() {
        // A menu that is open has been left by that.
        Popup::close_all(ui.ctx());
    }
    hits
}

/// Whether the escape key takes away what the window says: it does where no question, menu or list
/// waits for it.
pub fn dismisses(ui: &Ui) -> bool {
    let escape = ui.input(|i| i.key_pressed(Key::Escape));
    escape && !Others::of(ui).asking && !Popup::is_any_open(ui.ctx())
}

/// How many of these events may hold keys of the window.
fn end_of_keys(events: &[Event], others: Others) -> usize {
    let begins_text = |event: &Event| {
        let Event::Key {
            key,
            modifiers,
            pressed: true,
            ..
        } = event
        else {
            return false;
        };
        [Action::Find, Action::OpenPath].iter().any(|action| {
            let own = action.entry().key;
            own.is_some_and(|(m, k)| {
                k == *key && modifiers.matches_logically(m) && others.leave(m, k)
            })
        })
    };
    let first = events.iter().position(begins_text);
    first.map_or(events.len(), |at| at + 1)
}

fn hits(input: &mut InputState, others: Others) -> Vec<Action> {
    let mut hit = |e: &&Entry| {
        let Some((modifiers, key)) = e.key.filter(|(m, k)| others.leave(*m, *k)) else {
            return false;
        };
        // A plus or a question mark may need the shift key, whatever the keyboard.
        match key {
            Key::Plus => {
                input.consume_key(Modifiers::NONE, Key::Plus)
                    || input.consume_key(Modifiers::NONE, Key::Equals)
                    || input.consume_key(Modifiers::SHIFT, Key::Plus)
            }
            Key::Questionmark => {
                input.consume_key(Modifiers::NONE, key)
                    || input.consume_key(Modifiers::SHIFT, key)
                    || input.consume_key(Modifiers::SHIFT, Key::Slash)
            }
            _ => input.consume_key(modifiers, key),
        }
    };
    // The more modifiers, the earlier: a bare key also fits with shift held.
    let mut all: Vec<_> = entries().collect();
    all.sort_by_key(|e| {
        e.key
            .map_or(0, |(m, _)| -i32::from(m.shift) - i32::from(m.command))
    });
    all.iter().filter(|e| hit(e)).map(|e| e.action).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_is_taken_twice() {
        let mut keys: Vec<_> = entries()
            .filter(|e| e.key.is_some())
            .map(Entry::key_text)
            .collect();
        let count = keys.len();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len(), count);
        assert!(entries().all(|e| e.help.ends_with('.')));
    }

    #[test]
    fn a_key_goes_to_what_wants_it_most() {
        let ctrl = Modifiers::COMMAND;
        let typing = Others {
            typing: true,
            moving: true,
            ..Default::default()
        };
        assert!(!typing.leave(Modifiers::NONE, Key::M));
        assert!(!typing.leave(ctrl, Key::Z));
        assert!(!typing.leave(ctrl | Modifiers::SHIFT, Key::Z));
        assert!(typing.leave(ctrl, Key::G));
        let moving = Others {
            moving: true,
            ..Default::default()
        };
        for key in [Key::ArrowLeft, Key::ArrowUp, Key::Home, Key::End] {
            assert!(!moving.leave(Modifiers::NONE, key));
            assert!(Others::default().leave(Modifiers::NONE, key));
        }
        assert!(moving.leave(Modifiers::NONE, Key::M));
        let asking = Others {
            asking: true,
            ..Default::default()
        };
        assert!(!asking.leave(ctrl, Key::B));
    }
}
