//! The window: the only layer that names egui.

mod acting;
mod action;
mod app;
mod card_notes;
mod cards;
mod closing;
mod file_ask;
mod foot;
mod glossary;
mod going;
mod head;
#[cfg(feature = "live")]
mod hearing;
mod hint;
mod history;
mod keep;
mod key_sheet;
mod keys;
mod knob_row;
mod lane_area;
mod listed;
mod loose_tape;
mod memory;
mod menus;
mod message;
mod opening;
mod overview_strip;
mod paint;
mod panels;
mod preferences;
mod read_out;
mod reading;
mod recent;
mod room;
mod selection;
mod session;
mod shaper;
mod shelf;
mod shelf_ask;
mod side;
#[cfg(feature = "live")]
mod sound;
mod state;
mod style;
mod summarizer;
mod survey;
mod tape_desk;

pub use action::{Action, Entry};
pub use app::App;
pub use menus::MENUS;

use crate::store::Store;
use preferences::Preferences;

use crate::settings::Bench;
use std::path::PathBuf;

/// What the window is opened with.
#[derive(Clone, Debug, Default)]
pub struct Request {
    /// The recording.
    pub file: Option<PathBuf>,
    /// The settings; those of the last session where none are given.
    pub bench: Option<Bench>,
}

/// Opens the window and returns when it is closed.
///
/// # Errors
/// A sentence, where there is no display or it cannot be drawn on.
pub fn run(request: Request) -> Result<(), String> {
    let store = Store::of_user();
    let remembered = store.read(preferences::FILE).ok().flatten();
    let remembered = Preferences::read(&remembered.unwrap_or_default());
    let size = remembered.unwrap_or_default().size;
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Pulsewright")
            .with_app_id("pulsewright")
            .with_inner_size(size)
            .with_min_inner_size(room::LEAST_WINDOW)
            .with_drag_and_drop(true),
        ..Default::default()
    };
    let start: eframe::AppCreator<'_> =
        Box::new(|context| Ok(Box::new(App::new(&context.egui_ctx, request, store)?)));
    eframe::run_native("pulsewright", options, start).map_err(|_| {
        "The window could not be opened: there is no display that it can draw on. Use 'pulsewright \
         read' and 'pulsewright picture' instead."
            .into()
    })
}

/// The sample recording: beside the program, in the folder it is started in, or where it was built.
fn sample() -> Option<PathBuf> {
    let beside = std::env::current_exe().ok();
    let roots = beside
        .iter()
        .flat_map(|exe| exe.ancestors().skip(1))
        .take(4);
    roots
        .map(PathBuf::from)
        .chain([
            PathBuf::from("."),
            PathBuf::from(env!("CARGO_MANIFEST_DIR")),
        ])
        .map(|root| root.join("sample-audio").join("saltmere-300.wav"))
        .find(|path| path.is_file())
}
