//! The listing is in step with the lanes, and finds what is looked for.

use crate::desk::{Desk, ctrl, folder, size, tide_log};
use crate::raster::Raster;
use egui::{Key, Modifiers, Pos2, pos2, vec2};
use egui_kittest::kittest::Queryable;
use image::RgbaImage;
use pulsewright::picture::{Lane, Span};

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

/// Whether a pixel has the colour of what is selected.
fn is_golden(seen: &RgbaImage, at: Pos2) -> bool {
    let [r, g, b, _] = seen.get_pixel(at.x as u32, at.y as u32).0;
    i32::from(r.min(g)) - i32::from(b) > 20
}

#[test]
fn all_of_what_is_found_is_marked() {
    let mut desk = Desk::with(
        folder(),
        Some(tide_log()),
        size(1440.0, 900.0).renderer(Raster::default()),
    );
    desk.press_with(ctrl(Modifiers::NONE), Key::F);
    desk.window.event(egui::Event::Text("TIDE LOG".into()));
    desk.settle();
    desk.press(Key::Enter);
    let bytes = desk.app().whole().bytes();
    let first = bytes.windows(8).position(|w| w == b"TIDE LOG");
    assert_eq!(desk.app().selected(), first);
    let row = desk.window.get_by_label_contains("TIDE").rect();
    let whole = desk.app().whole();
    let at_s = |i: usize| {
        let c = whole.characters[first.unwrap() + i];
        (c.line_start_s + c.line_end_s()) / 2.0
    };
    // Where all of them are in view, each of them is marked.
    desk.window
        .state_mut()
        .look_at(Span::new(at_s(0) - 0.1, 0.5));
    desk.window.remove_cursor();
    desk.settle();
    let seen = desk.window.render().unwrap();
    let golden = |at| is_golden(&seen, at);
    // Somewhere beside the letters and within the box.
    let around = |at: Pos2| (-8..=8).any(|y| golden(at + vec2(6.0, y as f32)));
    let marked: Vec<bool> = (0..9)
        .map(|i| around(desk.place(Lane::Characters, at_s(i))))
        .collect();
    assert_eq!(marked, [[true; 8].as_slice(), &[false]].concat());
    let in_row = (row.left() as u32..row.right() as u32)
        .filter(|&x| golden(pos2(x as f32, row.top() + 1.0)));
    assert!(in_row.count() > 100);
    // And so is their place where the whole recording is.
    desk.window.state_mut().look_at(Span::new(0.0, whole.end_s));
    desk.window.remove_cursor();
    desk.settle();
    let seen = desk.window.render().unwrap();
    let golden = |at| is_golden(&seen, at);
    for i in 0..8 {
        assert!(golden(
            desk.place(Lane::Characters, at_s(i)) + vec2(0.0, 8.0)
        ));
    }
    let after = desk.place(Lane::Characters, at_s(12));
    assert!(!golden(after + vec2(0.0, 8.0)));
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
