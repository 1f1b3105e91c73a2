//! Everything has its place in a window of every size, and scrolls in one that is too small.

use crate::desk::{Desk, ctrl, folder, size, tide_log};
use egui::accesskit::Role;
use egui::{Color32, FontId, Key, Modifiers, Rect, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use std::fs;

/// The sizes in points that screens and windows have most, the least first.
const SIZES: [[f32; 2]; 7] = [
    [1016.0, 600.0],
    [1024.0, 640.0],
    [1278.0, 698.0],
    [1280.0, 720.0],
    [1440.0, 900.0],
    [1598.0, 900.0],
    [1600.0, 1000.0],
];

/// What the hand uses and the eye reads, with its place; not what holds others.
fn pieces(desk: &Desk) -> Vec<(String, Rect)> {
    let shown = desk.window.root().children_recursive();
    let pieces = shown.filter_map(|node| {
        let inner = node.accesskit_node();
        let roles = [
            Role::Button,
            Role::ComboBox,
            Role::SpinButton,
            Role::Label,
            Role::Slider,
        ];
        let text = inner.label().or_else(|| inner.value())?;
        // The listing scrolls, and the lanes draw their own lettering.
        (roles.contains(&inner.role()) && !text.trim().is_empty()).then(|| (text, node.rect()))
    });
    pieces.collect()
}

/// Asserts that nothing lies outside the window or over its neighbour.
fn all_in_place(desk: &Desk, [width, height]: [f32; 2], state: &str) {
    let window = Rect::from_min_size(egui::Pos2::ZERO, vec2(width, height)).expand(0.5);
    let pieces = pieces(desk);
    assert!(pieces.len() > 40, "{state}: {} pieces", pieces.len());
    for (i, (text, at)) in pieces.iter().enumerate() {
        assert!(
            window.contains_rect(*at),
            "{state}, {width}: '{text}' at {at}"
        );
        for (other, there) in &pieces[i + 1..] {
            let both = at.intersect(*there);
            // Rounding to whole points, and a button's own label.
            let apart = both.width() < 1.5 || both.height() < 1.5 || text == other;
            assert!(
                apart,
                "{state}, {width}: '{text}' {at} lies over '{other}' {there}"
            );
        }
    }
}

/// The width of a text in the small lettering.
fn small_width(desk: &Desk, text: &str) -> f32 {
    let (text, font) = (text.to_string(), FontId::proportional(10.5));
    let lay = |fonts: &mut egui::epaint::FontsView<'_>| {
        fonts.layout_no_wrap(text, font, Color32::BLACK).size().x
    };
    desk.window.ctx.fonts_mut(lay)
}

#[test]
fn nothing_is_cut_or_covered_at_any_usual_size() {
    for wide in SIZES {
        for scale in [1.0, 2.0] {
            let builder = size(wide[0], wide[1]).with_pixels_per_point(scale);
            let mut desk = Desk::with(folder(), Some(tide_log()), builder);
            all_in_place(&desk, wide, "a recording open");
            for part in [
                "peak 500 mV",
                "tones 2.4",
                "high 2",
                "low 3",
                "least margin",
            ] {
                let found = desk.window.query_all_by_label_contains(part);
                let small = found.min_by(|a, b| a.rect().height().total_cmp(&b.rect().height()));
                let small = small.expect(part);
                let text = small.accesskit_node().value().unwrap();
                let whole = small_width(&desk, &text);
                assert!(
                    small.rect().width() >= whole - 1.0,
                    "{wide:?}: '{text}' is cut"
                );
            }
            for key in [Key::P, Key::C] {
                desk.press(key);
                all_in_place(&desk, wide, "a chart");
            }
        }
    }
}

#[test]
fn a_long_name_and_a_bench_leave_room_for_the_buttons() {
    for wide in [[1024.0, 640.0], [1280.0, 720.0]] {
        let mut desk = Desk::with(folder(), None, size(wide[0], wide[1]));
        let name = "deck seven of the harbour station, second side, evening.wav";
        let path = desk.folder.path().join(name);
        fs::copy(tide_log(), &path).unwrap();
        desk.press_with(ctrl(Modifiers::SHIFT), Key::O);
        desk.type_path(&path);
        desk.wait("it is read", |app| !app.whole().characters.is_empty());
        desk.press_with(ctrl(Modifiers::NONE), Key::S);
        let field = desk.window.get_by_role_and_label(Role::TextInput, "Name");
        field.focus();
        let bench = "the deck in the attic with the new belt";
        desk.window.event(egui::Event::Text(bench.into()));
        desk.settle();
        desk.press(Key::Enter);
        desk.press(Key::Escape);
        desk.control("short width").set_value_accesskit(6e-4);
        desk.settle();
        all_in_place(&desk, wide, "long names");
    }
}

#[test]
fn a_window_that_is_too_small_scrolls() {
    let mut desk = Desk::with(folder(), Some(tide_log()), size(800.0, 460.0));
    let hold = desk.control("Hold traces").rect();
    assert!(hold.left() > 800.0, "{hold}");
    assert!(desk.control("Lanes").rect().bottom() > 460.0);
    // The focus brings a control into view.
    desk.control("framer clock").focus();
    desk.settle();
    desk.window.run_steps(30);
    let clock = desk.control("framer clock").rect();
    assert!(clock.left() > 0.0 && clock.right() <= 800.0, "{clock}");
}

#[test]
fn the_side_panel_can_be_made_wider_and_stays_so() {
    let mut desk = Desk::with(folder(), Some(tide_log()), size(1280.0, 720.0));
    let lanes = |desk: &Desk| desk.control("Lanes").rect();
    let before = lanes(&desk);
    let find = desk.control("Find").rect();
    // The edge lies between the lanes and what the panel holds.
    let edge = egui::pos2(find.left() - 7.0, find.center().y + 100.0);
    desk.drag(edge, edge - vec2(150.0, 0.0), Modifiers::NONE);
    let after = lanes(&desk);
    assert!(before.width() - after.width() > 100.0, "{before} {after}");
    let span = desk.app().span();
    assert!((span.length_s() - 0.1).abs() < 1e-9);
    // The lanes keep room of their own.
    let edge = edge - vec2(150.0, 0.0);
    desk.drag(edge, egui::pos2(20.0, edge.y), Modifiers::NONE);
    assert!(lanes(&desk).width() > 300.0, "{}", lanes(&desk));
    assert!(desk.close());
    let Desk { folder, window } = desk;
    drop(window);
    let desk = Desk::with(folder, Some(tide_log()), size(1280.0, 720.0));
    assert!(before.width() - lanes(&desk).width() > 100.0);
}
