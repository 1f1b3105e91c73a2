//! The foot says all it has to say, and leaves the lanes where they are.

use crate::desk::{Desk, folder, size, tide_log};
use egui::{Key, Rect};
use egui_kittest::kittest::Queryable;
use pulsewright::picture::Lane;

/// The smallest usual window, with a character selected that has a fault.
fn at_a_fault() -> Desk {
    let mut desk = Desk::with(folder(), Some(tide_log()), size(1280.0, 720.0));
    desk.control("long width").set_value_accesskit(2.7e-3);
    desk.settle();
    desk.press(Key::F);
    desk
}

fn lanes(desk: &Desk) -> Rect {
    desk.control("Lanes").rect()
}

#[test]
fn every_sentence_of_the_foot_is_seen_whole() {
    let mut desk = at_a_fault();
    let middle = desk.place(Lane::Squarer, desk.app().span().middle_s());
    desk.window.hover_at(middle);
    desk.settle();
    // Where a panel cuts its text, that lies outside the window or over what is below.
    let all: Vec<Rect> = [
        "Framing error",
        "The least margin is",
        "is too long: ",
        "squarer ",
    ]
    .iter()
    .map(|text| {
        let found = desk.window.query_all_by_label_contains(text);
        let below = found.filter(|n| n.rect().top() > lanes(&desk).bottom());
        below.map(|n| n.rect()).next().expect(text)
    })
    .collect();
    let foot = Rect::from_min_max(
        egui::pos2(0.0, lanes(&desk).bottom()),
        egui::pos2(1280.0, 720.0),
    );
    assert!(foot.height() <= 241.0, "{foot}");
    for pair in all.windows(2) {
        assert!(pair[0].bottom() <= pair[1].top() + 1.0, "{all:?}");
    }
    assert!(all.iter().all(|r| foot.contains_rect(*r)), "{all:?} {foot}");
}

#[test]
fn the_lanes_stay_under_the_pointer() {
    let mut desk = at_a_fault();
    let before = lanes(&desk);
    for lane in [Lane::Source, Lane::Long, Lane::Characters] {
        let place = desk.place(lane, desk.app().span().middle_s());
        desk.window.hover_at(place);
        desk.settle();
        assert_eq!(lanes(&desk), before, "{lane:?}");
    }
    // Nor does the next character, of which there is less to say, move them.
    desk.press(Key::Period);
    assert_eq!(lanes(&desk), before);
}
