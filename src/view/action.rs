//! What can be done by key or menu.

use super::menus::MENUS;
use egui::{Key, Modifiers};

/// What can be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // the table of menus says what each of them is
pub enum Action {
    Open,
    OpenPath,
    Sample,
    MakeTape,
    Listen,
    Reconnect,
    SavePng,
    SaveSvg,
    CopyPicture,
    SaveBytes,
    SaveListing,
    SaveVcd,
    SaveCsv,
    SaveIntelHex,
    SaveSRecords,
    Undo,
    Redo,
    ResetKnob,
    ResetAll,
    SaveBench,
    Benches,
    Hold,
    Release,
    TakeAdvice,
    NextDifference,
    PreviousDifference,
    NextCharacter,
    PreviousCharacter,
    NextFault,
    PreviousFault,
    NextBlock,
    PreviousBlock,
    Weaker,
    Stronger,
    NextFalseStart,
    PreviousFalseStart,
    Find,
    FindNext,
    FindPrevious,
    Earlier,
    Later,
    Nearer,
    Farther,
    Begin,
    End,
    Whole,
    ShowSelected,
    MarkA,
    MarkB,
    ClearMarks,
    CopyReadOut,
    Details,
    Listing,
    Spectrum,
    Lengths,
    HigherLane,
    LowerLane,
    NextLane,
    ResetLanes,
    Theme,
    Words,
    Keys,
}

/// What an action is called, what it does, and its keys.
pub struct Entry {
    /// The action.
    pub action: Action,
    /// Its name in the menu.
    pub title: &'static str,
    /// What it does, a sentence.
    pub help: &'static str,
    /// The key, with the modifiers that go with it.
    pub key: Option<(Modifiers, Key)>,
}

/// All entries of all menus.
pub fn entries() -> impl Iterator<Item = &'static Entry> {
    MENUS.iter().flat_map(|m| m.1)
}

impl Action {
    /// Its entry.
    pub fn entry(self) -> &'static Entry {
        entries()
            .find(|e| e.action == self)
            .expect("every action stands in a menu")
    }
}

const fn entry(
    action: Action,
    title: &'static str,
    help: &'static str,
    key: Option<(Modifiers, Key)>,
) -> Entry {
    Entry {
        action,
        title,
        help,
        key,
    }
}

/// An entry without a key.
pub(super) const fn bare(action: Action, title: &'static str, help: &'static str) -> Entry {
    entry(action, title, help, None)
}

/// One with a bare key.
pub(super) const fn plain(
    action: Action,
    title: &'static str,
    help: &'static str,
    key: Key,
) -> Entry {
    entry(action, title, help, Some((Modifiers::NONE, key)))
}

/// One with the shift key and another.
pub(super) const fn shift(
    action: Action,
    title: &'static str,
    help: &'static str,
    key: Key,
) -> Entry {
    entry(action, title, help, Some((Modifiers::SHIFT, key)))
}

/// One with the control key and another.
pub(super) const fn ctrl(
    action: Action,
    title: &'static str,
    help: &'static str,
    key: Key,
) -> Entry {
    entry(action, title, help, Some((Modifiers::COMMAND, key)))
}

/// One with both and another.
pub(super) const fn ctrl_shift(
    action: Action,
    title: &'static str,
    help: &'static str,
    key: Key,
) -> Entry {
    let both = Modifiers {
        shift: true,
        ..Modifiers::COMMAND
    };
    entry(action, title, help, Some((both, key)))
}
