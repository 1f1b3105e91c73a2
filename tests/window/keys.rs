//! The keys do what the sheet of keys says.

use crate::desk::{Desk, ctrl};
use egui::accesskit::Role;
use egui::{Key, Modifiers, Rect};
use egui_kittest::kittest::Queryable;
use pulsewright::picture::{Lane, Span};

const LATE_S: f64 = 2.7e-3;

/// At another rate the framer finds fewer characters, so those behind have other indices.
#[test]
fn a_knob_leaves_the_selection_where_it_is() {
    let mut desk = Desk::opened();
    let before = desk.app().whole().characters.clone();
    desk.press(Key::End);
    desk.press(Key::Comma);
    let at = desk.app().selected().unwrap();
    desk.control("framer rate").set_value_accesskit(250.0);
    desk.settle();
    let after = &desk.app().whole().characters;
    assert_ne!(after.len(), before.len());
    let chosen = &before[at];
    let half_s = (chosen.line_end_s() - chosen.line_start_s) / 2.0;
    let away_s = |i: usize| (after[i].at_s - chosen.at_s).abs();
    let nearest = (0..after.len()).min_by(|&a, &b| away_s(a).total_cmp(&away_s(b)));
    let nearest = nearest.filter(|&i| away_s(i) <= half_s);
    assert!(nearest.is_some_and(|i| i != at));
    assert_eq!(desk.app().selected(), nearest);

    // Back at the default all of them are there again, and it goes back to one near by.
    desk.press_with(ctrl(Modifiers::NONE), Key::Z);
    assert_eq!(desk.app().whole().characters.len(), before.len());
    let back = desk.app().selected().unwrap();
    assert!(back.abs_diff(at) <= 1);
}

#[test]
fn a_failure_stays() {
    let mut desk = Desk::empty();
    desk.press_with(ctrl(Modifiers::NONE), Key::E);
    desk.window.run_steps(400);
    assert!(desk.says("Open a recording first"));
}

#[test]
fn marks_snap_to_the_edge_at_the_pointer() {
    let mut desk = Desk::opened();
    let edges = desk.app().whole().squarer.clone();
    let span = desk.app().span();
    let [a, b] = [0.4, 0.6].map(|part| {
        let near_s = span.from_s + part * span.length_s();
        edges.times_s()[edges.count_until(near_s)]
    });
    for (edge_s, modifiers) in [(a, Modifiers::NONE), (b, Modifiers::SHIFT)] {
        // A point beside the edge, which is less than to the next one.
        let place = desk.place(Lane::Squarer, edge_s) + egui::vec2(1.0, 0.0);
        desk.window.hover_at(place);
        desk.settle();
        desk.press_with(modifiers, Key::M);
    }
    assert_eq!(desk.app().marks(), [Some(a), Some(b)]);
    assert!(desk.says("edges between: squarer"));
    desk.press(Key::X);
    assert_eq!(desk.app().marks(), [None, None]);
}

#[test]
fn a_click_with_shift_sets_a_mark() {
    let mut desk = Desk::opened();
    let middle_s = desk.app().span().middle_s();
    let place = desk.place(Lane::Source, middle_s);
    desk.click_at(place, Modifiers::SHIFT);
    assert!(desk.app().marks()[0].is_some());
    desk.click_at(place, ctrl(Modifiers::NONE));
    assert!(desk.app().marks()[1].is_some());
}

#[test]
fn every_change_can_be_undone_and_made_again() {
    let mut desk = Desk::opened();
    let before = *desk.app().bench();
    desk.control("short width slider")
        .set_value_accesskit(430e-6);
    desk.settle();
    let after = *desk.app().bench();
    assert_ne!(before, after);
    desk.press_with(ctrl(Modifiers::NONE), Key::Z);
    assert_eq!(*desk.app().bench(), before);
    desk.press_with(ctrl(Modifiers::SHIFT), Key::Z);
    assert_eq!(*desk.app().bench(), after);
    desk.choose("Settings", "Reset all");
    assert_eq!(*desk.app().bench(), before);
}

#[test]
fn a_drag_of_a_slider_is_one_step() {
    let mut desk = Desk::opened();
    let before = *desk.app().bench();
    let rail = desk.control("long width slider").rect();
    let right = rail.center() + egui::vec2(20.0, 0.0);
    desk.drag(rail.center(), right, Modifiers::NONE);
    assert!(desk.app().bench().long.width_s > before.long.width_s);
    desk.press_with(ctrl(Modifiers::NONE), Key::Z);
    assert_eq!(*desk.app().bench(), before);
}

/// What the bar of the held traces says.
fn counts(desk: &Desk) -> String {
    let bar = desk.window.get_by_label_contains("Against the held traces");
    bar.value().unwrap()
}

/// A longer width takes margin from every character, and no byte changes. What a character was
/// stands beside what it is.
#[test]
fn margins_that_shrank_are_no_bytes_that_differ() {
    let mut desk = Desk::opened();
    let held = desk.app().whole();
    desk.press(Key::H);
    desk.press(Key::Period);
    let at = desk.app().selected().unwrap();
    assert!(desk.says("; was the same."));
    desk.control("long width").set_value_accesskit(1.5e-3);
    desk.settle();
    let now = desk.app().whole();
    assert_eq!(held.bytes(), now.bytes());
    assert!(now.faulty.is_empty());
    let less = held.characters.iter().zip(&now.characters);
    let less = less.filter(|(a, b)| b.margin_percent < a.margin_percent - 1.0);
    let (less, all) = (less.count(), now.characters.len());
    assert!(less > 0);
    let bar = counts(&desk);
    let says = format!("in {all} characters: 0 bytes differ; margin less in {less}, more in 0;");
    assert!(bar.contains(&says), "{bar}");
    assert!(bar.contains("faults new in 0, gone in 0."), "{bar}");
    let c = held.characters[at];
    let was = format!(
        "was {:02X} {}, margin {:.0}%",
        c.value,
        char::from(c.value),
        c.margin_percent
    );
    assert!(desk.says(&was), "{was}");
}

/// With a squarer that the signal does not reach, every held character is gone.
#[test]
fn a_held_character_that_is_gone_is_said_where_it_stood() {
    let mut desk = Desk::opened();
    let all = desk.app().whole().characters.len();
    desk.press(Key::H);
    desk.control("squarer reference").set_value_accesskit(5.0);
    desk.settle();
    assert!(counts(&desk).contains(&format!("characters only now 0, only held {all}.")));
    desk.press(Key::D);
    assert!(desk.says("; now it is not there."));
    assert_eq!(desk.app().selected(), None);
}

#[test]
fn held_traces_are_counted_against() {
    let mut desk = Desk::opened();
    let held = desk.app().whole();
    desk.press(Key::H);
    desk.control("long width").set_value_accesskit(LATE_S);
    desk.settle();
    let now = desk.app().whole();
    let pairs = || held.characters.iter().zip(&now.characters);
    let other = pairs().filter(|(a, b)| a.value != b.value).count();
    assert_eq!(held.characters.len(), now.characters.len());
    assert!(other > 0 && !now.faulty.is_empty());
    let bar = counts(&desk);
    assert!(bar.contains(&format!("{other} bytes differ")), "{bar}");
    let faulty = now.faulty.len();
    assert!(
        bar.contains(&format!("faults new in {faulty}, gone in 0")),
        "{bar}"
    );

    desk.press(Key::Home);
    let before = desk.app().span();
    desk.press(Key::D);
    let first = desk.app().span();
    assert!(first.from_s > before.from_s);
    desk.press(Key::D);
    assert!(desk.app().span().from_s > first.from_s);
    desk.press_with(Modifiers::SHIFT, Key::D);
    assert!((desk.app().span().from_s - first.from_s).abs() < 1e-9);
    desk.press_with(Modifiers::SHIFT, Key::H);
    assert!(!desk.says("Against the held traces"));
}

#[test]
fn the_sheet_of_keys_shows_every_key() {
    let mut desk = Desk::opened();
    desk.press(Key::Questionmark);
    let mut rows: Option<Rect> = None;
    for entry in pulsewright::view::MENUS.iter().flat_map(|m| m.1) {
        if entry.key.is_some() {
            let said = format!("{}  {}", entry.title, entry.help);
            let row = desk.window.get_by_label(&said).rect();
            rows = Some(rows.map_or(row, |r| r.union(row)));
        }
    }
    // All of it is in view at once.
    let sheet = desk.window.get_by_role_and_label(Role::Window, "Keys");
    assert!(sheet.rect().contains_rect(rows.unwrap()), "{rows:?}");
    desk.press(Key::Questionmark);
    assert!(!desk.says("Select the next block"));
}

#[test]
fn the_words_are_explained() {
    let mut desk = Desk::opened();
    desk.choose("Help", "Words…");
    assert!(desk.says("Logic 1, the high tone"));
    desk.press(Key::Escape);
    assert!(!desk.says("Logic 1, the high tone"));
}

#[test]
fn a_knob_is_reset_by_key() {
    let mut desk = Desk::opened();
    let before = *desk.app().bench();
    for label in ["short width", "framer rate"] {
        desk.control(label).set_value_accesskit(310e-6);
        desk.settle();
    }
    desk.press_with(ctrl(Modifiers::NONE), Key::D);
    assert_eq!(desk.app().bench().framer, before.framer);
    assert_ne!(desk.app().bench().short, before.short);
    // The one with the focus, though another was turned last; what is typed so far is dropped.
    desk.control("short width").focus();
    desk.settle();
    desk.press_with(ctrl(Modifiers::NONE), Key::D);
    desk.press(Key::Tab);
    assert_eq!(*desk.app().bench(), before);
}

#[test]
fn a_lane_is_made_higher_by_key() {
    let mut desk = Desk::opened();
    let top = |desk: &Desk| desk.app().lanes().lanes.map(|l| l.1);
    let before = top(&desk);
    desk.press(Key::ArrowUp);
    assert!(top(&desk)[0] > before[0]);
    desk.press(Key::ArrowDown);
    assert!((top(&desk)[0] - before[0]).abs() < 1e-5);
    desk.press(Key::N);
    assert!(desk.says("the height of the lane 'Squarer'"));
    desk.press(Key::ArrowUp);
    let after = top(&desk);
    assert!(after[1] > before[1] && (after[0] - before[0]).abs() < 1e-5);
    desk.choose("Look", "Reset lanes");
    assert_eq!(top(&desk), before);
    let place = desk.place(Lane::Long, desk.app().span().middle_s());
    desk.window.hover_at(place);
    desk.settle();
    desk.press(Key::ArrowDown);
    assert!(top(&desk)[3] < before[3]);
}

#[test]
fn the_view_moves_and_zooms() {
    let mut desk = Desk::opened();
    let first = desk.app().span();
    desk.press(Key::Plus);
    let near = desk.app().span();
    assert!((near.length_s() - first.length_s() / 2.0).abs() < 1e-9);
    assert!((near.middle_s() - first.middle_s()).abs() < 1e-9);
    desk.press(Key::Minus);
    assert!((desk.app().span().length_s() - first.length_s()).abs() < 1e-9);
    desk.press(Key::ArrowRight);
    assert!(desk.app().span().from_s > first.from_s);
    desk.press(Key::ArrowLeft);
    assert!((desk.app().span().from_s - first.from_s).abs() < 1e-9);
    let end_s = desk.app().whole().end_s;
    desk.press(Key::End);
    assert!((desk.app().span().to_s - end_s).abs() < 1e-9);
    desk.press(Key::Home);
    assert_eq!(desk.app().span().from_s, 0.0);
    desk.press(Key::Num0);
    assert_eq!(desk.app().span(), Span::new(0.0, end_s));
}

#[test]
fn the_wheel_zooms_at_the_pointer() {
    let mut desk = Desk::opened();
    let span = desk.app().span();
    let held_s = span.from_s + span.length_s() / 4.0;
    let place = desk.place(Lane::Long, held_s);
    desk.window.hover_at(place);
    desk.wheel(egui::vec2(0.0, 120.0), Modifiers::NONE);
    let near = desk.app().span();
    assert!(near.length_s() < span.length_s());
    let part = (held_s - near.from_s) / near.length_s();
    assert!((part - 0.25).abs() < 1e-3, "{part}");
    desk.wheel(egui::vec2(0.0, 120.0), Modifiers::SHIFT);
    let moved = desk.app().span();
    assert!((moved.length_s() - near.length_s()).abs() < 1e-9);
    assert_ne!(moved.from_s, near.from_s);
}

#[test]
fn panels_open_and_close() {
    let mut desk = Desk::opened();
    assert!(desk.says("SALTMERE"));
    desk.press(Key::L);
    assert!(!desk.says("SALTMERE"));
    desk.press(Key::P);
    assert!(desk.says("window, "), "the window function is named");
    desk.press(Key::C);
    assert!(desk.says("The short width lies"));
    desk.press(Key::L);
    assert!(desk.says("SALTMERE"));
}

#[test]
fn letters_that_are_typed_are_no_keys() {
    let mut desk = Desk::opened();
    desk.press_with(ctrl(Modifiers::NONE), Key::F);
    let before = desk.app().span();
    desk.window.key_press(Key::M);
    desk.window.event(egui::Event::Text("M".into()));
    desk.press(Key::Num0);
    assert_eq!(desk.app().marks(), [None; 2]);
    assert_eq!(desk.app().span(), before);
    assert_eq!(desk.control("Find").value().as_deref(), Some("M"));
}

/// A frame that took long brings the key and what was typed behind it at once.
#[test]
fn letters_behind_ctrl_f_are_text_in_the_same_frame_already() {
    let mut desk = Desk::opened();
    desk.press(Key::P);
    let key = |key: Key, modifiers: Modifiers| egui::Event::Key {
        key,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers,
    };
    let events = [
        key(Key::F, ctrl(Modifiers::NONE)),
        key(Key::M, Modifiers::NONE),
        egui::Event::Text("m".into()),
        key(Key::T, Modifiers::NONE),
        egui::Event::Text("t".into()),
    ];
    desk.window.input_mut().events.extend(events);
    desk.settle();
    assert_eq!(desk.app().marks(), [None; 2]);
    assert_eq!(desk.control("Find").value().as_deref(), Some("mt"));
}

#[test]
fn ctrl_z_belongs_to_the_text_that_is_typed() {
    let mut desk = Desk::opened();
    desk.control("long width").set_value_accesskit(LATE_S);
    desk.settle();
    let changed = *desk.app().bench();
    desk.press_with(ctrl(Modifiers::NONE), Key::F);
    desk.window.event(egui::Event::Text("M".into()));
    desk.settle();
    desk.press_with(ctrl(Modifiers::NONE), Key::Z);
    assert_eq!(*desk.app().bench(), changed);
    assert_eq!(desk.control("Find").value().as_deref(), Some(""));
}

#[test]
fn arrows_belong_to_a_slider_that_has_the_focus_and_to_lanes_that_have_it() {
    let mut desk = Desk::opened();
    let (bench, span) = (*desk.app().bench(), desk.app().span());
    desk.control("long width slider").focus();
    desk.settle();
    desk.press(Key::ArrowRight);
    assert!(desk.app().bench().long.width_s > bench.long.width_s);
    assert_eq!(desk.app().span(), span);
    desk.control("Lanes").focus();
    desk.settle();
    for _ in 0..2 {
        let span = desk.app().span();
        desk.press(Key::ArrowRight);
        assert!(desk.app().span().from_s > span.from_s);
    }
}

#[test]
fn keys_do_nothing_while_a_question_waits() {
    let mut desk = Desk::opened();
    let path = desk.folder.path().join("saltmere-300.bin");
    std::fs::write(&path, "mine").unwrap();
    desk.choose("Keep", "Bytes…");
    let field = desk.window.get_by_role_and_label(Role::TextInput, "Path");
    field.focus();
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    let text = path.to_str().unwrap().into();
    desk.window.event(egui::Event::Text(text));
    desk.settle();
    desk.press(Key::Enter);
    assert!(desk.says("Replace this file?"));
    desk.press(Key::M);
    assert_eq!(desk.app().marks(), [None; 2]);
}

#[test]
fn the_tones_are_measured_whatever_the_short_width() {
    let mut desk = Desk::opened();
    let said = "tones 2.4 and 1.2 kHz";
    assert!(desk.says(said));
    for width_s in [130e-6, 400e-6, 1.5e-3] {
        desk.control("short width").set_value_accesskit(width_s);
        desk.settle();
        assert!(desk.says(said), "{width_s}");
    }
}
