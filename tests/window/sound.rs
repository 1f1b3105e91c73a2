//! Listening and playing in the window, where the device that was chosen last is not there: the
//! tests need no sound card.

use crate::controls::all_named;
use crate::desk::{Desk, ctrl, folder, size};
use crate::tapes::at_the_maker;
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Node;
use egui_kittest::kittest::{NodeT, Queryable};
use std::fs;

/// A window whose devices, chosen in an earlier session, no computer has.
fn desk() -> Desk {
    let folder = folder();
    let store = folder.path().join("store");
    fs::create_dir(&store).unwrap();
    let devices = "input-device = \"the lost deck\"\noutput-device = \"the lost horn\"\n";
    fs::write(store.join("window.toml"), devices).unwrap();
    Desk::with(folder, None, size(1440.0, 900.0))
}

/// A window in which listening can be begun, into a file in the folder of the test.
fn at_the_deck() -> Desk {
    let mut desk = desk();
    desk.press_with(ctrl(Modifiers::NONE), Key::L);
    assert!(desk.says("Connect the player's line or earphone socket"));
    let path = desk.folder.path().join("heard.wav");
    desk.control("Keep it in").focus();
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    let path = path.to_str().unwrap().to_owned();
    desk.window.event(egui::Event::Text(path));
    desk.settle();
    desk
}

fn listen_button(desk: &Desk) -> Node<'_> {
    desk.window.get_by_role_and_label(Role::Button, "Listen")
}

#[test]
fn every_control_of_listening_has_a_name() {
    let desk = at_the_deck();
    all_named(&desk, "listening");
    assert!(desk.says("The device chosen last is not there now"));
    for label in ["Sound system", "Device", "Sample rate", "Keep it in"] {
        assert!(
            desk.window
                .query_all_by_label(label)
                .any(|n| n.accesskit_node().role() != Role::Label),
            "{label}"
        );
    }
}

#[test]
fn a_device_that_is_gone_is_said_and_keeps_no_file() {
    let mut desk = at_the_deck();
    listen_button(&desk).click();
    desk.wait_for("the refusal is said", |desk| {
        desk.says("no input device 'the lost deck'")
    });
    assert!(!desk.folder.path().join("heard.wav").exists());
    // It can be tried again.
    desk.settle();
    assert!(!listen_button(&desk).accesskit_node().is_disabled());
}

#[test]
fn a_file_without_a_name_is_asked_for() {
    let mut desk = at_the_deck();
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    desk.press(Key::Backspace);
    assert!(desk.says("Name a file first"));
    assert!(listen_button(&desk).accesskit_node().is_disabled());
}

#[test]
fn reconnecting_wants_something_that_was_lost() {
    let mut desk = desk();
    desk.press_with(ctrl(Modifiers::SHIFT), Key::L);
    assert!(desk.says("Nothing is listened to"));
}

#[test]
fn playing_warns_and_says_what_fails() {
    let mut desk = at_the_maker(desk());
    desk.click("Play…");
    desk.wait_for("playing is asked about", |desk| desk.says("Play the tape"));
    desk.settle();
    assert!(desk.says("loud tones hurt hearing"));
    all_named(&desk, "playing");
    desk.click("Play");
    desk.wait_for("the refusal is said", |desk| {
        desk.says("no output device 'the lost horn'")
    });
    // Who has been warned is not warned again.
    assert!(!desk.says("loud tones hurt hearing"));
}
