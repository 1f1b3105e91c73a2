//! The foot says what is wanted most in a fixed height, all of it on demand, and leaves the lanes
//! where they are.

use crate::desk::{Desk, folder, size, tide_log};
use egui::accesskit::Role;
use egui::{Key, Rect};
use egui_kittest::kittest::NodeT;
use pulsewright::picture::Lane;

/// A small window, with a character selected that has a fault.
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

/// The texts below the lanes, from the top down.
fn texts(desk: &Desk) -> Vec<(String, Rect)> {
    let top = lanes(desk).bottom();
    let below = desk.window.root().children_recursive().filter_map(|node| {
        let inner = node.accesskit_node();
        let text = inner.value().filter(|_| inner.role() == Role::Label)?;
        (node.rect().top() >= top && node.rect().left() < 1000.0).then(|| (text, node.rect()))
    });
    let mut texts: Vec<_> = below.collect();
    texts.sort_by(|a, b| a.1.top().total_cmp(&b.1.top()));
    texts
}

/// The row of the foot with this text.
fn row(desk: &Desk, text: &str) -> Rect {
    let found = texts(desk).into_iter().find(|(t, _)| t.contains(text));
    found.expect(text).1
}

#[test]
fn details_show_every_sentence_whole() {
    let mut desk = at_a_fault();
    desk.press(Key::E);
    let middle = desk.place(Lane::Squarer, desk.app().span().middle_s());
    desk.window.hover_at(middle);
    desk.settle();
    let all = [
        "framing error",
        "The least margin is",
        "is too long: ",
        "squarer ",
    ];
    let all = all.map(|text| row(&desk, text));
    let foot = Rect::from_min_max(
        egui::pos2(0.0, lanes(&desk).bottom()),
        egui::pos2(1280.0, 720.0),
    );
    assert!(foot.height() <= 241.0, "{foot}");
    for pair in all.windows(2) {
        assert!(pair[0].bottom() <= pair[1].top() + 1.0, "{all:?}");
    }
    assert!(all.iter().all(|r| foot.contains_rect(*r)), "{all:?} {foot}");
    desk.press(Key::E);
    assert!(texts(&desk).iter().all(|t| !t.0.contains("is too long: ")));
}

#[test]
fn no_sentence_stands_there_twice() {
    let mut desk = at_a_fault();
    desk.press(Key::E);
    let texts = texts(&desk);
    for (i, (text, _)) in texts.iter().enumerate() {
        assert!(
            texts[i + 1..].iter().all(|(other, _)| other != text),
            "{text}"
        );
    }
}

#[test]
fn the_lanes_stay_under_the_pointer() {
    let mut desk = Desk::with(folder(), Some(tide_log()), size(1280.0, 720.0));
    let before = lanes(&desk);
    desk.control("long width").set_value_accesskit(2.7e-3);
    desk.settle();
    desk.press(Key::F);
    assert_eq!(lanes(&desk), before);
    for lane in [Lane::Source, Lane::Long, Lane::Characters] {
        let place = desk.place(lane, desk.app().span().middle_s());
        desk.window.hover_at(place);
        desk.settle();
        assert_eq!(lanes(&desk), before, "{lane:?}");
    }
    for key in [Key::Period, Key::M, Key::X] {
        desk.press(key);
        assert_eq!(lanes(&desk), before, "{key:?}");
    }
}

/// One sentence names the change and the counts; the key makes the change, and the count comes
/// true.
#[test]
fn what_is_advised_can_be_done_and_does_what_it_says() {
    let mut desk = at_a_fault();
    desk.wait_for("there is advice", |desk| desk.says("instead of"));
    let advice: Vec<_> = texts(&desk)
        .into_iter()
        .filter(|t| t.0.contains("instead of"))
        .collect();
    let [(says, place)] = &advice[..] else {
        panic!("{advice:?}")
    };
    assert!(place.bottom() <= row(&desk, "framing error").top() + 1.0);
    let all = desk.app().whole().characters.len();
    assert!(desk.app().whole().characters.iter().all(|c| c.faults.any()));
    desk.press(Key::A);
    desk.settle();
    let whole = desk.app().whole();
    let sound = whole.characters.iter().filter(|c| !c.faults.any()).count();
    assert!(
        says.contains(&format!("{sound} of {}", whole.characters.len())),
        "{says}"
    );
    assert!(sound > 200 && all > 200);
    assert!(!desk.says("instead of"));
    desk.press(Key::A);
    assert!(desk.says("No change of settings is advised at present."));
}
