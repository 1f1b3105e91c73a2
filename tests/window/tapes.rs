//! The tape maker in the window.

use crate::controls::all_named;
use crate::desk::{Desk, ctrl, tide_log};
use egui::accesskit::Role;
use egui::{Key, Modifiers, ViewportCommand};
use egui_kittest::kittest::{NodeT, Queryable};

/// A window with the tape maker open.
pub fn at_the_maker(mut desk: Desk) -> Desk {
    desk.press_with(ctrl(Modifiers::NONE), Key::T);
    assert!(desk.says("Tape maker"));
    desk
}

/// Chooses what the tape is to hold.
fn choose_content(desk: &mut Desk, content: &str) {
    let box_of = |desk: &Desk| {
        let found = desk.window.get_by_role_and_label(Role::ComboBox, "Content");
        found.click();
    };
    box_of(desk);
    desk.settle();
    desk.window
        .get_by_role_and_label(Role::Button, content)
        .click();
    desk.settle();
}

/// Writes into a block in place of what stands there.
fn write_block(desk: &mut Desk, label: &str, text: &str) {
    desk.control(label).focus();
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    desk.press(Key::Backspace);
    desk.window.event(egui::Event::Text(text.into()));
    desk.settle();
}

fn is_ready(desk: &Desk, button: &str) -> bool {
    !desk.control(button).accesskit_node().is_disabled()
}

#[test]
fn every_control_of_the_tape_maker_has_a_name() {
    let mut desk = at_the_maker(Desk::empty());
    all_named(&desk, "a text");
    desk.click("Add a block");
    all_named(&desk, "two blocks");
    for content in ["bytes in hexadecimal", "mark", "run", "random"] {
        choose_content(&mut desk, content);
        all_named(&desk, content);
    }
    desk.press(Key::Escape);
    assert!(!desk.says("Tape maker"));
}

#[test]
fn a_made_tape_runs_through_the_chain() {
    let mut desk = at_the_maker(Desk::empty());
    write_block(&mut desk, "Block 1", "HIGH WATER");
    desk.click("Add a block");
    write_block(&mut desk, "Block 2", "LOW WATER");
    desk.click("Open it as the recording");
    desk.wait("the tape is read", |app| {
        app.whole().bytes() == b"HIGH WATERLOW WATER"
    });
    assert!(desk.says("made tape"));
    assert!(desk.app().whole().faulty.is_empty());
}

#[test]
fn a_pattern_is_as_long_as_asked() {
    let mut desk = at_the_maker(Desk::empty());
    choose_content(&mut desk, "walking-one");
    desk.control("bytes").set_value_accesskit(9.0);
    desk.settle();
    desk.click("Open it as the recording");
    desk.wait("the tape is read", |app| {
        app.whole().bytes() == [1, 2, 4, 8, 16, 32, 64, 128, 1]
    });
}

#[test]
fn what_cannot_be_recorded_is_said_and_makes_no_tape() {
    let mut desk = at_the_maker(Desk::empty());
    write_block(&mut desk, "Block 1", "");
    assert!(desk.says("There is nothing to record yet"));
    assert!(!is_ready(&desk, "Open it as the recording"));
    choose_content(&mut desk, "bytes in hexadecimal");
    write_block(&mut desk, "Block 1", "53 4");
    assert!(desk.says("Write two hexadecimal digits for each byte"));
    assert!(!is_ready(&desk, "Save…"));
    write_block(&mut desk, "Block 1", "53 41");
    assert!(!desk.says("Write two hexadecimal digits"));
    desk.click("Open it as the recording");
    desk.wait("the tape is read", |app| app.whole().bytes() == b"SA");
}

/// The same check as on the command line.
#[test]
fn a_tape_of_impossible_form_is_not_made() {
    let mut desk = at_the_maker(Desk::empty());
    desk.control("tape mark").set_value_accesskit(1200.0);
    desk.settle();
    assert!(desk.says("Mark and space are both 1.2 kHz"));
    assert!(!is_ready(&desk, "Open it as the recording"));
    desk.control("tape mark").set_value_accesskit(2400.0);
    desk.settle();
    assert!(is_ready(&desk, "Save…"));
    choose_content(&mut desk, "walking-one");
    desk.control("bytes").set_value_accesskit(1e6);
    desk.control("tape gap").set_value_accesskit(60.0);
    desk.settle();
    assert!(desk.says("too long"));
    assert!(!is_ready(&desk, "Save…"));
}

/// 5 s of leader, 21 characters of 11 bits at 300 Bd and 1 s of trailer, played at half speed.
#[test]
fn the_stated_length_is_that_of_the_tape_as_it_is_played() {
    let mut desk = at_the_maker(Desk::empty());
    desk.wait_for("the length is known", |desk| desk.says("0:06.770 long"));
    desk.control("wear speed").set_value_accesskit(-50.0);
    desk.settle();
    desk.wait_for("the length is known", |desk| desk.says("0:13.540 long"));
    desk.control("tape leader").set_value_accesskit(0.2001);
    desk.settle();
    desk.wait_for("it is rounded", |desk| desk.says("leader 200 ms"));
}

#[test]
fn the_tape_maker_stands_in_line_and_says_what_its_preview_leaves_out() {
    let mut desk = at_the_maker(Desk::empty());
    let top = |desk: &Desk, label: &str| desk.control(label).rect().top();
    let rows = ["tape rate", "wear seed", "wear azimuth"].map(|label| top(&desk, label));
    assert!(rows.iter().all(|y| (y - rows[0]).abs() < 0.5), "{rows:?}");
    assert!(desk.says("The leader of 5 s is shortened to 250 ms"));
    desk.control("tape leader").set_value_accesskit(0.2);
    desk.settle();
    assert!(!desk.says("is shortened"));
}

#[test]
fn wear_is_set_and_taken_back() {
    let mut desk = at_the_maker(Desk::empty());
    assert!(!is_ready(&desk, "No wear"));
    desk.control("wear speed").set_value_accesskit(2.0);
    desk.settle();
    assert_eq!(desk.app().bench().wear.speed_percent, 2.0);
    desk.click("No wear");
    assert_eq!(desk.app().bench().wear, Default::default());
}

/// A window with a made tape open that is in no file.
fn with_a_loose_tape() -> Desk {
    let mut desk = at_the_maker(Desk::empty());
    write_block(&mut desk, "Block 1", "EBB");
    desk.click("Open it as the recording");
    desk.wait("the tape is read", |app| app.whole().bytes() == b"EBB");
    desk.press(Key::Escape);
    desk
}

const LOOSE: &str = "The made tape is not saved";

fn open_tide_log(desk: &mut Desk) {
    desk.press_with(ctrl(Modifiers::SHIFT), Key::O);
    desk.type_path(&tide_log());
}

#[test]
fn a_tape_that_is_not_saved_is_not_lost_by_opening_another_recording() {
    let mut desk = with_a_loose_tape();
    open_tide_log(&mut desk);
    assert!(desk.says(LOOSE));
    desk.click("Stay");
    assert!(!desk.says(LOOSE));
    assert_eq!(desk.app().whole().bytes(), b"EBB");

    open_tide_log(&mut desk);
    desk.click("Open without saving");
    desk.wait("the other one is read", |app| {
        app.whole().characters.len() == 230
    });
    // It is gone, and is asked about no more.
    assert!(desk.close());
}

#[test]
fn a_tape_that_is_not_saved_is_saved_before_the_window_closes() {
    let mut desk = with_a_loose_tape();
    assert!(!desk.close());
    desk.window.step();
    assert!(desk.says(LOOSE));
    desk.click("Save it first…");
    let path = desk.folder.path().join("ebb.wav");
    desk.type_path(&path);
    desk.wait_for("it is written", |desk| desk.says("ebb.wav is written"));
    assert!(path.is_file());
    assert!(desk.close());
}

#[test]
fn a_tape_that_is_not_wanted_does_not_hold_the_window_open() {
    let mut desk = with_a_loose_tape();
    assert!(!desk.close());
    desk.window.step();
    desk.control("Close without it").click();
    desk.wait_for("the window closes", |desk| {
        desk.sent(&ViewportCommand::Close)
    });
}
