//! What is shown goes when it is not wanted any more: notices, menus, help.

use crate::desk::{Desk, ctrl, tide_log};
use egui::{Key, Modifiers};
use pulsewright::picture::Lane;

#[test]
fn what_is_said_goes_when_something_else_is_done() {
    let mut desk = Desk::opened();
    desk.press(Key::F);
    assert!(desk.says("No framing error"));
    desk.press(Key::Period);
    assert!(!desk.says("No framing error"));

    desk.press_with(ctrl(Modifiers::NONE), Key::F);
    desk.window.event(egui::Event::Text("zzz".into()));
    desk.press(Key::Enter);
    assert!(desk.says("'zzz' does not occur."));
    desk.press(Key::Escape);
    assert!(!desk.says("'zzz' does not occur."));
}

/// Types into the long one-shot's width.
fn type_width(desk: &mut Desk, typed: &str) {
    desk.click("long width");
    desk.window.event(egui::Event::Text(typed.into()));
    desk.settle();
    desk.press(Key::Enter);
}

#[test]
fn a_failure_goes_when_it_is_mended_or_with_escape() {
    let mut desk = Desk::opened();
    let said = "'wide' is not a value in s";
    type_width(&mut desk, "wide");
    assert!(desk.says(said));
    // Something else that is done does not mend it.
    desk.press(Key::Period);
    assert!(desk.says(said));
    desk.press(Key::Escape);
    assert!(!desk.says(said));
    type_width(&mut desk, "wide");
    assert!(desk.says(said));
    type_width(&mut desk, "1.2ms");
    assert!(!desk.says(said));
}

#[test]
fn what_wants_a_recording_is_forgotten_once_one_is_open() {
    let mut desk = Desk::empty();
    desk.press_with(ctrl(Modifiers::NONE), Key::E);
    let said = "Open a recording first";
    assert!(desk.says(said));
    desk.press_with(ctrl(Modifiers::SHIFT), Key::O);
    assert!(desk.says(said));
    desk.type_path(&tide_log());
    desk.wait_for("it is open", |desk| {
        !desk.app().whole().characters.is_empty()
    });
    assert!(!desk.says(said));
}

#[test]
fn an_open_menu_closes_when_something_else_is_done() {
    let mut desk = Desk::opened();
    desk.click("Help");
    assert!(desk.says("Words…"));
    desk.press(Key::Period);
    assert!(!desk.says("Words…"));

    desk.click("Help");
    assert!(desk.says("Words…"));
    let middle_s = desk.app().span().middle_s();
    let from = desk.place(Lane::Long, middle_s);
    desk.drag(from, from + egui::vec2(-80.0, 0.0), Modifiers::NONE);
    assert!(!desk.says("Words…"));
    assert!(desk.app().span().middle_s() > middle_s);
}

#[test]
fn help_on_a_control_does_not_come_back_once_that_is_dragged() {
    let mut desk = Desk::opened();
    let rail = desk.control("long width slider").rect();
    let help = "Flag --long-width";
    let rest = |desk: &mut Desk, at: egui::Pos2| {
        desk.window.hover_at(at);
        desk.settle();
        desk.window.run_steps(60);
    };
    rest(&mut desk, rail.center());
    assert!(desk.says(help));
    let right = rail.center() + egui::vec2(20.0, 0.0);
    // The pointer stays where it lets go, other than at the end of a drag of the desk.
    desk.window.drag_at(rail.center());
    desk.window.hover_at(right);
    desk.window.event(egui::Event::PointerButton {
        pos: right,
        button: egui::PointerButton::Primary,
        pressed: false,
        modifiers: Modifiers::NONE,
    });
    rest(&mut desk, right + egui::vec2(2.0, 1.0));
    assert!(!desk.says(help));
    // Another visit is another question.
    rest(&mut desk, rail.center() + egui::vec2(0.0, 300.0));
    rest(&mut desk, rail.center());
    assert!(desk.says(help));
}
