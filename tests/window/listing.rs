//! The listing is in step with the lanes, and finds what is looked for.

use crate::desk::{Desk, ctrl};
use egui::{Key, Modifiers, vec2};
use egui_kittest::kittest::Queryable;
use pulsewright::picture::Lane;

#[test]
fn a_click_on_a_row_selects_and_moves_the_lanes() {
    let mut desk = Desk::opened();
    let row = desk.window.get_by_label_contains("0020 54 45 44").rect();
    // The first byte stands at the left of the row, behind the address.
    desk.click_at(row.left_center() + vec2(50.0, 0.0), Modifiers::NONE);
    assert_eq!(desk.app().selected(), Some(0x20));
    let c = desk.app().whole().characters[0x20];
    assert_eq!(c.value, b'T');
    let span = desk.app().span();
    assert!(span.from_s <= c.line_start_s && c.line_end_s() <= span.to_s);
}

#[test]
fn a_click_on_the_lanes_selects_in_the_listing() {
    let mut desk = Desk::opened();
    let c = desk.app().whole().characters[1];
    let middle_s = (c.line_start_s + c.line_end_s()) / 2.0;
    let place = desk.place(Lane::Characters, middle_s);
    desk.click_at(place, Modifiers::NONE);
    assert_eq!(desk.app().selected(), Some(1));
    assert!(desk.says("41 A at"));
}

#[test]
fn texts_and_bytes_are_found() {
    let mut desk = Desk::opened();
    desk.press_with(ctrl(Modifiers::NONE), Key::F);
    assert!(desk.control("Find").is_focused());
    desk.window.event(egui::Event::Text("TIDE".into()));
    desk.settle();
    desk.press(Key::Enter);
    let bytes = desk.app().whole().bytes();
    let place = |what: &[u8]| bytes.windows(what.len()).position(|w| w == what);
    assert_eq!(desk.app().selected(), place(b"TIDE"));

    desk.control("Find").focus();
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    desk.window.event(egui::Event::Text("0x31 32".into()));
    desk.settle();
    desk.click("Next");
    assert_eq!(desk.app().selected(), place(b"12"));
    let first = desk.app().selected();
    desk.press_with(ctrl(Modifiers::NONE), Key::G);
    assert!(desk.app().selected() > first);
    desk.press_with(ctrl(Modifiers::SHIFT), Key::G);
    assert_eq!(desk.app().selected(), first);
}

#[test]
fn what_is_not_there_is_said() {
    let mut desk = Desk::opened();
    desk.press_with(ctrl(Modifiers::NONE), Key::F);
    desk.window.event(egui::Event::Text("NOWHERE".into()));
    desk.settle();
    desk.press(Key::Enter);
    assert!(desk.says("' does not occur."));
    assert_eq!(desk.app().selected(), None);
}
