//! A handful of pictures of the window. `UPDATE_SNAPSHOTS=1` writes those that differ anew; look
//! at them before they are kept.

use crate::desk::{Desk, folder, size, tide_log};
use crate::raster::Raster;
use egui::{Key, Theme};
use egui_kittest::{HarnessBuilder, SnapshotOptions};
use pulsewright::view::App;

/// Compares what the window shows with the picture of this name.
fn compare(desk: &mut Desk, name: &str) {
    // Rounding may differ from processor to processor at the edges of letters, and nowhere else.
    let options = SnapshotOptions::new()
        .output_path("tests/window/snapshots")
        .threshold(1.0)
        .max_failed_pixels(40);
    desk.window.remove_cursor();
    desk.settle();
    desk.window.snapshot_options(name, &options);
}

fn drawn(builder: HarnessBuilder<App>) -> HarnessBuilder<App> {
    builder.renderer(Raster::default())
}

#[test]
fn nothing_open() {
    let mut desk = Desk::with(folder(), None, drawn(size(1280.0, 720.0)));
    compare(&mut desk, "empty-1280");
}

#[test]
fn first_look() {
    let mut desk = Desk::with(folder(), Some(tide_log()), drawn(size(1280.0, 720.0)));
    compare(&mut desk, "first-look-1280");
}

#[test]
fn dark_with_faults_held_traces_and_marks() {
    let folder = folder();
    let store = folder.path().join("store");
    std::fs::create_dir(&store).unwrap();
    std::fs::write(
        store.join("window.toml"),
        "dark = true\nside = \"Cycle lengths\"\n",
    )
    .unwrap();
    let builder = drawn(size(1600.0, 1000.0)).with_theme(Theme::Dark);
    let mut desk = Desk::with(folder, Some(tide_log()), builder);
    desk.press(Key::H);
    desk.control("long width").set_value_accesskit(2.7e-3);
    desk.settle();
    desk.press(Key::F);
    desk.press(Key::M);
    compare(&mut desk, "dark-1600");
}

#[test]
fn near_with_the_spectrum() {
    let mut desk = Desk::with(folder(), Some(tide_log()), drawn(size(1280.0, 720.0)));
    desk.press(Key::P);
    for _ in 0..5 {
        desk.press(Key::Plus);
    }
    compare(&mut desk, "near-1280");
}

#[test]
fn twice_the_pixels_and_the_whole_recording() {
    let builder = drawn(size(1280.0, 720.0)).with_pixels_per_point(2.0);
    let mut desk = Desk::with(folder(), Some(tide_log()), builder);
    desk.press(Key::Num0);
    compare(&mut desk, "whole-1280-at-2");
}
