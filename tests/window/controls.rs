//! Every control can be found by its name and set.

use crate::desk::{Desk, ctrl};
use egui::accesskit::{Action as Deed, Role};
use egui::{Key, Modifiers};
use egui_kittest::Node;
use egui_kittest::kittest::{NodeT, Queryable};
use pulsewright::settings::{Bench, KNOBS, Kind, Knob};
use pulsewright::view::{Action, Entry, MENUS};
use std::collections::HashSet;

/// The stages that have a card.
const CARDS: [&str; 6] = ["source", "input", "squarer", "short", "long", "framer"];

/// Whether a control says what it is: by a label of its own or of another, or by its hint; a
/// label by its text.
fn is_named(node: &Node<'_>) -> bool {
    let node = node.accesskit_node();
    let text = match node.role() {
        Role::Label => node.value(),
        _ => node
            .label()
            .or_else(|| node.placeholder().map(str::to_owned)),
    };
    text.is_some_and(|text| !text.trim().is_empty())
}

/// Whether the keyboard or a hand can do something with it. The bars of scroll areas and the title
/// bars of floating windows are the library's own.
fn is_control(node: &Node<'_>) -> bool {
    let closes = |n: Node<'_>| n.accesskit_node().label().as_deref() == Some("Close window");
    let is_title_bar = || node.parent().is_some_and(|p| p.children().any(closes));
    let data = node.accesskit_node().data();
    let takes = [Deed::Focus, Deed::Click, Deed::SetValue].map(|deed| data.supports_action(deed));
    let own = match data.role() {
        Role::ScrollBar => true,
        Role::Unknown => is_title_bar(),
        _ => false,
    };
    takes.contains(&true) && !own
}

/// Asserts that every control on the screen has a name, and that there are some.
pub fn all_named(desk: &Desk, state: &str) {
    let controls: Vec<_> = desk
        .window
        .root()
        .children_recursive()
        .filter(is_control)
        .collect();
    assert!(controls.len() > 20, "{state}: {} controls", controls.len());
    let nameless = controls.iter().filter(|node| !is_named(node));
    let nameless: Vec<_> = nameless
        .map(|node| format!("{:?} at {:?}", node.accesskit_node().role(), node.rect()))
        .collect();
    assert!(nameless.is_empty(), "{state}: {nameless:?}");
}

#[test]
fn every_control_has_a_name() {
    let mut desk = Desk::empty();
    all_named(&desk, "nothing open");
    desk.press_with(ctrl(Modifiers::SHIFT), Key::O);
    assert!(desk.says("Open a recording"));
    all_named(&desk, "a typed path");

    let mut desk = Desk::opened();
    all_named(&desk, "a recording open");
    for (panel, key) in [
        ("spectrum", Key::P),
        ("lengths", Key::C),
        ("listing", Key::L),
    ] {
        desk.press(key);
        all_named(&desk, panel);
    }
    for (menu, _) in MENUS {
        desk.click(menu);
        all_named(&desk, menu);
        desk.press(Key::Escape);
    }
    desk.press(Key::H);
    desk.press(Key::Questionmark);
    all_named(&desk, "keys and held traces");
    desk.press(Key::Escape);
    desk.press_with(ctrl(Modifiers::NONE), Key::B);
    all_named(&desk, "benches");
    desk.window
        .get_by_role_and_label(Role::TextInput, "Name")
        .focus();
    desk.window.event(egui::Event::Text("one".into()));
    desk.settle();
    desk.click("Save");
    for question in ["Rename…", "Delete…"] {
        desk.click(question);
        all_named(&desk, question);
        desk.press(Key::Escape);
    }
}

/// The label of a knob's control.
fn label(knob: &Knob) -> String {
    knob.id().replace('-', " ")
}

/// A value that the knob does not have now, with the word for it.
fn another(knob: &Knob, bench: &Bench) -> f64 {
    let now = knob.get(bench);
    match knob.kind {
        Kind::Words(words) => (now as usize + 1).rem_euclid(words.len()) as f64,
        Kind::Count { min, max, .. } if now < f64::from(max) => (now + 1.0).max(f64::from(min)),
        Kind::Count { min, .. } => f64::from(min),
        Kind::Number { min, max, .. } => {
            let other = if now > 0.0 { now * 1.25 } else { 0.125 };
            if (min..=max).contains(&other) {
                other
            } else {
                min + (max - min) / 8.0
            }
        }
    }
}

#[test]
fn every_knob_of_every_card_sets_the_bench() {
    let mut desk = Desk::empty();
    let knobs = KNOBS.iter().filter(|k| CARDS.contains(&k.stage));
    let mut count = 0;
    for knob in knobs {
        let label = label(knob);
        let wanted = another(knob, desk.app().bench());
        let control = desk.control(&label);
        match control.accesskit_node().role() {
            Role::ComboBox => {
                control.click();
                desk.settle();
                let word = knob.show(wanted);
                let entries = desk.window.get_all_by_role_and_label(Role::Button, &word);
                entries.last().unwrap().click();
            }
            _ => control.set_value_accesskit(wanted),
        }
        desk.settle();
        assert_eq!(knob.get(desk.app().bench()), wanted, "{label}");
        let shown = desk.control(&label).value();
        assert_eq!(shown.as_deref(), Some(&*knob.show(wanted)), "{label}");
        count += 1;
    }
    assert!(count >= 18, "{count} knobs");
    let changed = desk.app().bench().differences(&Bench::default());
    assert_eq!(changed.len(), count);
}

#[test]
fn a_value_can_be_typed_with_its_unit() {
    let mut desk = Desk::opened();
    desk.click("long width");
    desk.window.event(egui::Event::Text("920us".into()));
    desk.settle();
    desk.press(Key::Enter);
    assert_eq!(desk.app().bench().long.width_s, 920e-6);
}

#[test]
fn what_a_knob_does_not_take_is_said() {
    let mut desk = Desk::opened();
    for (typed, says) in [
        ("589", "'589' without a unit is 589 s"),
        ("2s", "'2s' is out of range; it takes 1 µs to 1 s"),
        ("wide", "'wide' is not a value in s"),
    ] {
        desk.click("long width");
        desk.window.event(egui::Event::Text(typed.into()));
        desk.settle();
        desk.press(Key::Enter);
        assert!(desk.says(says), "{typed}");
        assert_eq!(*desk.app().bench(), Bench::default());
        desk.click("Dismiss");
    }
}

#[test]
fn sliders_set_the_widths() {
    let mut desk = Desk::opened();
    desk.control("short width slider")
        .set_value_accesskit(430e-6);
    desk.settle();
    desk.control("long width slider")
        .set_value_accesskit(2.2e-3);
    desk.settle();
    assert_eq!(desk.app().bench().short.width_s, 430e-6);
    assert_eq!(desk.app().bench().long.width_s, 2.2e-3);
    assert_eq!(
        desk.control("long width").value().as_deref(),
        Some("2.2 ms")
    );
}

#[test]
fn a_double_click_on_its_name_resets_a_knob() {
    let mut desk = Desk::opened();
    let default = desk.app().bench().long.width_s;
    desk.control("long width").set_value_accesskit(2e-3);
    desk.settle();
    let row = desk.control("long width").rect();
    let names = desk.window.get_all_by_label("width");
    let name = names.max_by(|a, b| a.rect().left().total_cmp(&b.rect().left()));
    let name = name.filter(|n| n.rect().right() < row.left()).unwrap();
    name.click();
    name.click();
    desk.settle();
    assert_eq!(desk.app().bench().long.width_s, default);
}

#[test]
fn every_action_stands_in_a_menu() {
    let mut desk = Desk::opened();
    let mut seen = HashSet::new();
    for (menu, entries) in MENUS {
        desk.click(menu);
        for entry in *entries {
            assert!(
                desk.window.query_by_label(&shown(entry)).is_some(),
                "{}",
                entry.title
            );
            seen.insert(entry.action);
        }
        desk.press(Key::Escape);
    }
    // `Keys` is the last action.
    assert_eq!(seen.len(), Action::Keys as usize + 1);
}

/// A menu entry with its key as it is read out.
fn shown(entry: &Entry) -> String {
    format!("{} {}", entry.title, entry.key_text())
        .trim_end()
        .into()
}

#[test]
fn a_menu_entry_does_its_action() {
    let mut desk = Desk::opened();
    desk.choose("Look", "Whole recording 0");
    assert_eq!(desk.app().span().from_s, 0.0);
    assert_eq!(desk.app().span().to_s, desk.app().whole().end_s);
    desk.choose("Go", "Next character .");
    assert!(desk.app().selected().is_some());
    desk.choose("Settings", "Hold traces H");
    assert!(desk.says("Against the held traces"));
}

#[test]
fn a_lane_can_be_hidden_but_not_the_last() {
    let mut desk = Desk::opened();
    desk.click("Look");
    for lane in ["Source", "Squarer", "Short one-shot", "Long one-shot"] {
        let boxes = |node: &egui_kittest::kittest::AccessKitNode<'_>| {
            node.role() == Role::CheckBox && node.label().as_deref() == Some(lane)
        };
        desk.window.get_by(boxes).click();
        desk.settle();
    }
    let last = desk
        .window
        .get_by_role_and_label(Role::CheckBox, "Characters");
    assert!(last.accesskit_node().is_disabled());
}
