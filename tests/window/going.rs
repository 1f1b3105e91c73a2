//! Going from one character, fault, block, margin or false start to the next.

use crate::desk::Desk;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;

/// A window on the bundled recording with the long width so late that characters break.
fn broken() -> Desk {
    let mut desk = Desk::opened();
    desk.control("long width").set_value_accesskit(2.7e-3);
    desk.settle();
    assert!(!desk.app().whole().faulty.is_empty());
    desk
}

#[test]
fn characters_are_selected_one_by_one() {
    let mut desk = Desk::opened();
    desk.press(Key::Period);
    let first = desk.app().selected().unwrap();
    desk.press(Key::Period);
    assert_eq!(desk.app().selected(), Some(first + 1));
    desk.press(Key::Comma);
    assert_eq!(desk.app().selected(), Some(first));
    let c = desk.app().whole().characters[first];
    assert!(desk.says(&format!("{:02X}", c.value)));
    assert!(desk.says("margin"));
}

#[test]
fn faults_are_gone_to() {
    let mut desk = broken();
    desk.press(Key::Num0);
    desk.press(Key::Home);
    let faulty = desk.app().whole().faulty.clone();
    desk.press(Key::F);
    let at = desk.app().selected().unwrap();
    assert!(faulty.contains(&at));
    desk.press(Key::F);
    let next = faulty.iter().copied().find(|&i| i > at);
    assert_eq!(desk.app().selected(), next);
    desk.press_with(Modifiers::SHIFT, Key::F);
    assert_eq!(desk.app().selected(), Some(at));
}

#[test]
fn what_is_not_found_is_named_and_such_a_notice_fades() {
    let mut desk = Desk::opened();
    desk.press(Key::F);
    let whole = desk.app().whole();
    let least = |a: f64, b: f64| a.min(b);
    let least = whole
        .characters
        .iter()
        .map(|c| c.margin_percent)
        .fold(f64::MAX, least);
    let all = whole.characters.len();
    let said = format!("No framing error, parity error or break in {all} characters");
    let found = desk.window.get_by_label_contains(&said).value();
    assert!(
        found
            .unwrap()
            .contains(&format!("the least margin is {least:.0}% at "))
    );
    desk.press(Key::End);
    desk.press(Key::B);
    assert!(desk.says("No further block to the right."));
    assert!(!desk.says("No framing error"));
    // Six seconds of frames, and some.
    desk.window.run_steps(200);
    assert!(desk.says("No further block"));
    desk.window.run_steps(200);
    assert!(!desk.says("No further block"));
}

#[test]
fn blocks_are_gone_to() {
    let mut desk = Desk::opened();
    desk.press(Key::End);
    desk.press_with(Modifiers::SHIFT, Key::B);
    assert_eq!(desk.app().selected(), Some(0));
}

/// The bundled recording has characters of several margins.
#[test]
fn the_weakest_characters_are_gone_to_one_by_one() {
    let mut desk = Desk::opened();
    let whole = desk.app().whole();
    let mut order: Vec<usize> = (0..whole.characters.len()).collect();
    let margin = |i: usize| whole.characters[i].margin_percent;
    order.sort_by(|&a, &b| margin(a).total_cmp(&margin(b)));
    for rank in 0..3 {
        desk.press(Key::W);
        assert_eq!(desk.app().selected(), Some(order[rank]), "{rank}");
        let said = format!("number {} from the least of {}", rank + 1, order.len());
        assert!(desk.says(&said), "{said}");
    }
    desk.press_with(Modifiers::SHIFT, Key::W);
    assert_eq!(desk.app().selected(), Some(order[1]));
    // After another character was selected, it begins anew.
    desk.press(Key::Period);
    desk.press(Key::W);
    assert_eq!(desk.app().selected(), Some(order[0]));
}

/// Where all characters have faults, none has a margin; F goes on among them.
#[test]
fn characters_with_faults_are_not_gone_to_for_their_margin() {
    let mut desk = Desk::opened();
    desk.control("long width").set_value_accesskit(3.6e-3);
    desk.settle();
    let whole = desk.app().whole();
    assert_eq!(whole.faulty.len(), whole.characters.len());
    desk.press(Key::W);
    assert_eq!(desk.app().selected(), None);
    assert!(desk.says("Every character has a fault"));
}

/// A long width that lets go within a cycle of space makes start bits that are gone in their
/// middle.
#[test]
fn false_starts_are_gone_to() {
    let mut desk = Desk::opened();
    desk.press(Key::S);
    assert!(desk.says("There is no false start in this recording."));
    desk.control("long width").set_value_accesskit(500e-6);
    desk.control("framer rate").set_value_accesskit(330.0);
    desk.settle();
    desk.press(Key::Home);
    let all = desk.app().whole().false_starts_s.clone();
    assert!(all.len() > 2);
    let middle_s = |desk: &Desk| desk.app().span().middle_s();
    let behind = all.partition_point(|t| *t <= middle_s(&desk));
    for &at_s in &all[behind..behind + 2] {
        desk.press(Key::S);
        assert!((middle_s(&desk) - at_s).abs() < 1e-9);
        assert!(desk.says("False start at "));
    }
    desk.press_with(Modifiers::SHIFT, Key::S);
    assert!((middle_s(&desk) - all[behind]).abs() < 1e-9);
}

#[test]
fn where_there_is_nothing_to_go_to_it_says_why() {
    let mut desk = Desk::empty();
    for key in [Key::F, Key::B, Key::W, Key::S, Key::Period] {
        desk.press(key);
        assert!(
            desk.says("Nothing is open: open a recording first."),
            "{key:?}"
        );
        desk.click("Dismiss");
    }
    let mut desk = Desk::opened();
    // A squarer that the signal does not reach.
    desk.control("squarer reference").set_value_accesskit(5.0);
    desk.settle();
    for key in [Key::F, Key::B, Key::W] {
        desk.press(key);
        assert!(desk.says("No characters were read"), "{key:?}");
        desk.click("Dismiss");
    }
}
