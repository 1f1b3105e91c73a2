//! Going from one character, fault, block, margin or false start to the next.

use crate::desk::Desk;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use pulsewright::picture::{Lane, Span, time_label};

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
    // From another character that is selected, it goes on with the margins greater than that one's.
    desk.press(Key::Period);
    let at = desk.app().selected().unwrap();
    let rank = order.iter().position(|&i| i == at).unwrap();
    desk.press(Key::W);
    assert_eq!(desk.app().selected(), Some(order[rank + 1]));
    // Where that is no longer in view, it begins with the least.
    desk.press(Key::Home);
    assert!(!is_in_view(&desk, order[rank + 1]));
    desk.press(Key::W);
    assert_eq!(desk.app().selected(), Some(order[0]));
}

fn is_in_view(desk: &Desk, index: usize) -> bool {
    let c = desk.app().whole().characters[index];
    let span = desk.app().span();
    c.at_s <= span.to_s && c.line_end_s() >= span.from_s
}

/// A selected character that has been left is not where going begins.
#[test]
fn going_begins_at_the_selected_character_or_in_the_middle_of_the_view() {
    let mut desk = broken();
    let whole = desk.app().whole();
    let after = |from_s: f64| {
        let mut faulty = whole.faulty.iter().copied();
        faulty.find(|&i| whole.characters[i].at_s > from_s)
    };
    let before = |from_s: f64| {
        let mut faulty = whole.faulty.iter().rev().copied();
        faulty.find(|&i| whole.characters[i].at_s < from_s)
    };
    desk.press(Key::F);
    let first = desk.app().selected().unwrap();
    // The selected one at the edge of the view: the middle lies beyond the next fault.
    let c = whole.characters[first];
    let second = after(c.at_s).unwrap();
    let length_s = 4.0 * (whole.characters[second].at_s - c.at_s);
    desk.window
        .state_mut()
        .look_at(Span::new(c.line_start_s, length_s));
    desk.settle();
    desk.press(Key::F);
    assert_eq!(desk.app().selected(), Some(second));
    // Somewhere else, both ways.
    let middle_s = whole.end_s / 2.0;
    let elsewhere = Span::new(middle_s - 0.05, 0.1);
    for (forward, next) in [(true, after(middle_s)), (false, before(middle_s))] {
        desk.window.state_mut().look_at(elsewhere);
        desk.settle();
        desk.press(Key::Escape);
        assert!(!is_in_view(&desk, second));
        let shift = if forward {
            Modifiers::NONE
        } else {
            Modifiers::SHIFT
        };
        desk.press_with(shift, Key::F);
        assert_eq!(desk.app().selected(), next, "{forward}");
        let second_again = whole.characters[second].line_start_s;
        desk.window
            .state_mut()
            .look_at(Span::new(second_again, 0.1));
        desk.settle();
        let place = desk.place(Lane::Characters, second_again + 0.01);
        desk.click_at(place, Modifiers::NONE);
        assert_eq!(desk.app().selected(), Some(second));
    }
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

/// A window whose long width and rate make a false start in every character.
fn false_starts_among_characters() -> Desk {
    let mut desk = Desk::opened();
    desk.control("long width").set_value_accesskit(750e-6);
    desk.control("framer rate").set_value_accesskit(330.0);
    desk.settle();
    let whole = desk.app().whole();
    assert_eq!(whole.false_starts_s.len(), whole.characters.len());
    desk
}

#[test]
fn false_starts_are_gone_to_from_the_selected_character() {
    let mut desk = false_starts_among_characters();
    let whole = desk.app().whole();
    let c = whole.characters[whole.characters.len() / 2];
    let from_it = Span::new(c.line_start_s - 0.001, 2.0);
    desk.window.state_mut().look_at(from_it);
    desk.settle();
    let middle_s = (c.line_start_s + c.line_end_s()) / 2.0;
    desk.click_at(desk.place(Lane::Characters, middle_s), Modifiers::NONE);
    desk.press(Key::S);
    let all = &whole.false_starts_s;
    let next_s = all[all.partition_point(|t| *t <= c.at_s)];
    assert!(next_s < from_it.middle_s());
    assert!((desk.app().span().middle_s() - next_s).abs() < 1e-9);
}

/// The view cannot have the last ones in its middle: the recording ends before that.
#[test]
fn false_starts_near_the_end_are_left_again() {
    let mut desk = false_starts_among_characters();
    let whole = desk.app().whole();
    let all = &whole.false_starts_s;
    let last = &all[all.len() - 3..];
    let half_s = whole.end_s - last[0] + 0.001;
    let at_the_end = Span::new(whole.end_s - 2.0 * half_s, 2.0 * half_s);
    desk.window.state_mut().look_at(at_the_end);
    desk.settle();
    for at_s in last {
        desk.press(Key::S);
        let said = format!("False start at {}", time_label(*at_s, 1e-6));
        assert!(desk.says(&said), "{said}");
    }
    desk.press(Key::S);
    assert!(desk.says("No further false start to the right."));
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
