//! Everything that can be done by key or menu, written down once: the menus, the sheet of keys and
//! the keys themselves come from this table.

use super::action::{Action, Entry, bare, ctrl, ctrl_shift, plain, shift};
use egui::Key;

/// The menus with their entries.
pub const MENUS: &[(&str, &[Entry])] = &[
    (
        "Recording",
        &[
            ctrl(Action::Open, "Open…", "Open a recording.", Key::O),
            ctrl_shift(
                Action::OpenPath,
                "Open by path…",
                "Type the path of a recording.",
                Key::O,
            ),
            bare(
                Action::Sample,
                "Open the sample",
                "Open the tide log of the invented Saltmere harbour station.",
            ),
            ctrl(
                Action::Listen,
                "Listen…",
                "Capture from a player while the lanes roll.",
                Key::L,
            ),
            ctrl_shift(
                Action::Reconnect,
                "Reconnect",
                "Listen to the same device again, into another file, where sound has stopped coming.",
                Key::L,
            ),
            ctrl(
                Action::MakeTape,
                "Make a tape…",
                "Record a text or a pattern as a test tape, clean or worn.",
                Key::T,
            ),
        ],
    ),
    (
        "Keep",
        &[
            ctrl(
                Action::SavePng,
                "Picture as PNG…",
                "Write what is shown as a picture for print.",
                Key::E,
            ),
            ctrl_shift(
                Action::SaveSvg,
                "Picture as SVG…",
                "Write what is shown as a drawing that scales.",
                Key::E,
            ),
            ctrl_shift(
                Action::CopyPicture,
                "Copy picture",
                "Put the picture on the clipboard.",
                Key::C,
            ),
            bare(
                Action::SaveBytes,
                "Bytes…",
                "Write the bytes of all characters.",
            ),
            bare(
                Action::SaveListing,
                "Listing…",
                "Write all characters as time, hexadecimal and text.",
            ),
            bare(
                Action::SaveVcd,
                "Traces as value change dump…",
                "Write all traces by IEEE 1364.",
            ),
            bare(
                Action::SaveCsv,
                "Traces as table…",
                "Write all edges and characters as comma-separated values.",
            ),
            bare(
                Action::SaveIntelHex,
                "Intel hex records…",
                "Write the bytes as records with a load address.",
            ),
            bare(
                Action::SaveSRecords,
                "S-records…",
                "Write the bytes as records with a load address.",
            ),
        ],
    ),
    (
        "Settings",
        &[
            ctrl(
                Action::Undo,
                "Undo",
                "Take back the last change of a setting.",
                Key::Z,
            ),
            ctrl_shift(Action::Redo, "Redo", "Make the change again.", Key::Z),
            ctrl(
                Action::ResetKnob,
                "Reset knob",
                "Set the knob that was turned last, or that has the focus, to its default.",
                Key::D,
            ),
            bare(
                Action::ResetAll,
                "Reset all",
                "Set every knob to its default.",
            ),
            ctrl(
                Action::SaveBench,
                "Save bench",
                "Save all settings under the bench's name.",
                Key::S,
            ),
            ctrl(
                Action::Benches,
                "Benches…",
                "Save, open and compare named sets of settings.",
                Key::B,
            ),
            plain(
                Action::Hold,
                "Hold traces",
                "Keep the present traces as ghosts behind what follows, and count what changes.",
                Key::H,
            ),
            shift(
                Action::Release,
                "Let go of held traces",
                "Show no ghosts.",
                Key::H,
            ),
            plain(
                Action::TakeAdvice,
                "Change what is advised",
                "Make the change of settings that the foot of the window advises.",
                Key::A,
            ),
        ],
    ),
    (
        "Go",
        &[
            plain(
                Action::NextCharacter,
                "Next character",
                "Select the next character.",
                Key::Period,
            ),
            plain(
                Action::PreviousCharacter,
                "Previous character",
                "Select the character before.",
                Key::Comma,
            ),
            plain(
                Action::NextFault,
                "Next fault",
                "Select the next character with a fault.",
                Key::F,
            ),
            shift(
                Action::PreviousFault,
                "Previous fault",
                "Select the last character with a fault before this one.",
                Key::F,
            ),
            plain(
                Action::NextBlock,
                "Next block",
                "Select the first character of the next block.",
                Key::B,
            ),
            shift(
                Action::PreviousBlock,
                "Previous block",
                "Select the first character of the block before.",
                Key::B,
            ),
            plain(
                Action::Weaker,
                "Least margin",
                "Select the character with the least margin; from a selected one, the one with the next greater margin.",
                Key::W,
            ),
            shift(
                Action::Stronger,
                "Smaller margin",
                "Go back to the character with the next smaller margin.",
                Key::W,
            ),
            plain(
                Action::NextFalseStart,
                "Next false start",
                "Go to the next start bit that was gone in its middle.",
                Key::S,
            ),
            shift(
                Action::PreviousFalseStart,
                "Previous false start",
                "Go to the last false start before.",
                Key::S,
            ),
            plain(
                Action::NextDifference,
                "Next difference",
                "Go to the next character that differs from the held traces.",
                Key::D,
            ),
            shift(
                Action::PreviousDifference,
                "Previous difference",
                "Go to the last difference before.",
                Key::D,
            ),
            ctrl(
                Action::Find,
                "Find…",
                "Find a text, or bytes written like 0x41 4C.",
                Key::F,
            ),
            ctrl(
                Action::FindNext,
                "Find next",
                "Go to the next place.",
                Key::G,
            ),
            ctrl_shift(
                Action::FindPrevious,
                "Find previous",
                "Go to the place before.",
                Key::G,
            ),
        ],
    ),
    (
        "Look",
        &[
            plain(Action::Nearer, "Nearer", "Show half as much.", Key::Plus),
            plain(
                Action::Farther,
                "Farther",
                "Show twice as much.",
                Key::Minus,
            ),
            plain(
                Action::Earlier,
                "Earlier",
                "Move to the left.",
                Key::ArrowLeft,
            ),
            plain(
                Action::Later,
                "Later",
                "Move to the right.",
                Key::ArrowRight,
            ),
            plain(
                Action::Begin,
                "Begin",
                "Go to the beginning of the recording.",
                Key::Home,
            ),
            plain(
                Action::End,
                "End",
                "Go to the end of the recording.",
                Key::End,
            ),
            plain(
                Action::Whole,
                "Whole recording",
                "Show all of it.",
                Key::Num0,
            ),
            plain(
                Action::ShowSelected,
                "Selected character",
                "Show the selected character and its neighbours.",
                Key::Z,
            ),
            plain(
                Action::Listing,
                "Listing",
                "Show or hide the listing.",
                Key::L,
            ),
            plain(
                Action::Spectrum,
                "Spectrum",
                "Show or hide the spectrum of what is in view.",
                Key::P,
            ),
            plain(
                Action::Lengths,
                "Cycle lengths",
                "Show or hide how long the cycles are, with both widths drawn in.",
                Key::C,
            ),
            plain(
                Action::HigherLane,
                "Higher lane",
                "Make the lane at the pointer higher, or the one chosen last.",
                Key::ArrowUp,
            ),
            plain(
                Action::LowerLane,
                "Lower lane",
                "Make that lane lower.",
                Key::ArrowDown,
            ),
            plain(
                Action::NextLane,
                "Choose next lane",
                "Choose the lane that is made higher or lower.",
                Key::N,
            ),
            bare(
                Action::ResetLanes,
                "Reset lanes",
                "Show all lanes at their usual heights.",
            ),
            plain(
                Action::Theme,
                "Light or dark page",
                "Change the ground of the page.",
                Key::T,
            ),
        ],
    ),
    (
        "Measure",
        &[
            plain(
                Action::MarkA,
                "Mark A",
                "Set mark A at the pointer, on the nearest edge of its lane (also Shift and click).",
                Key::M,
            ),
            shift(
                Action::MarkB,
                "Mark B",
                "Set mark B at the pointer, on the nearest edge of its lane (also Ctrl and click).",
                Key::M,
            ),
            plain(
                Action::ClearMarks,
                "Clear marks",
                "Take both marks away.",
                Key::X,
            ),
            plain(
                Action::Details,
                "Details",
                "Show or hide all that there is to say of the selection and the marks.",
                Key::E,
            ),
            ctrl(
                Action::CopyReadOut,
                "Copy read-out",
                "Put what the foot of the window says on the clipboard.",
                Key::R,
            ),
        ],
    ),
    (
        "Help",
        &[
            bare(
                Action::Words,
                "Words…",
                "Say what mark, margin, one-shot and the other words mean.",
            ),
            plain(
                Action::Keys,
                "Keys",
                "Show or hide the sheet of keys.",
                Key::Questionmark,
            ),
        ],
    ),
];
