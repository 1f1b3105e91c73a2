//! `view`: the window.

use super::bench::with_bench;
use super::{Failure, args};
use crate::settings::Knob;
use clap::{ArgMatches, Command};

pub(super) fn command() -> Command {
    with_args(Command::new("view").about("Open the window (what happens without a command, too)"))
}

/// Adds the arguments of `view`, which the program without a command takes as well.
pub(super) fn with_args(command: Command) -> Command {
    with_bench(
        command.arg(args::file().help("Recording to open")),
        Knob::shapes_a_reading,
    )
}

#[cfg(feature = "window")]
pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    use super::bench::{bench, is_given};
    use super::input;
    use crate::view::{self, Request};
    use std::path::PathBuf;

    let bench = is_given(matches).then(|| bench(matches)).transpose()?;
    let file = matches.get_one::<PathBuf>("file").cloned();
    if file.as_deref().is_some_and(input::is_standard) {
        return Err(Failure::Usage(
            "The window opens files, not standard input; 'read -' takes that.".into(),
        ));
    }
    if !has_display() {
        return Err(Failure::Failed(
            "There is no display to open a window on; 'pulsewright read FILE' and 'pulsewright \
             picture FILE --out lanes.png' work without one."
                .into(),
        ));
    }
    Ok(view::run(Request { file, bench })?)
}

/// Whether the environment names a display, where it is the environment that does.
#[cfg(feature = "window")]
fn has_display() -> bool {
    let named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux")
        || ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"]
            .into_iter()
            .any(named)
}

#[cfg(not(feature = "window"))]
pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    // What does not fit is said first, as where there is a window.
    super::bench::bench(matches)?;
    Err(Failure::Failed(
        "This build has no window: build it with the feature 'window', or use 'pulsewright read FILE' \
         and 'pulsewright picture FILE --out lanes.png'."
            .into(),
    ))
}
