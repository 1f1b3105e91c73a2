//! What the hand does on the lanes and on the sliders.

use crate::desk::Desk;
use egui::accesskit::Role;
use egui::{Key, Modifiers, Pos2, Rect, vec2};
use egui_kittest::kittest::Queryable;
use pulsewright::picture::Lane;

/// The area of a lane's trace.
fn area(desk: &Desk, lane: Lane) -> Rect {
    let lanes = desk.control("Lanes").rect();
    let span = desk.app().span();
    let sheet = desk.app().lanes().sheet(span, lanes.size().into(), 1.0);
    let (_, area) = sheet.areas().find(|(l, _)| *l == lane).unwrap();
    Rect::from_min_size(lanes.min + vec2(area.x, area.y), vec2(area.w, area.h))
}

#[test]
fn a_lane_is_made_higher_by_its_lower_edge() {
    let mut desk = Desk::opened();
    let span = desk.app().span();
    let [source, squarer, short] =
        [Lane::Source, Lane::Squarer, Lane::Short].map(|lane| area(&desk, lane));
    let edge = Pos2::new(source.center().x, source.bottom());
    desk.drag(edge, edge - vec2(0.0, 30.0), Modifiers::NONE);
    let after = |lane| area(&desk, lane);
    // The first step of a drag is what makes it one.
    let gone = source.height() - after(Lane::Source).height();
    assert!((20.0..=31.0).contains(&gone), "{gone}");
    let come = after(Lane::Squarer).height() - squarer.height();
    assert!((come - gone).abs() <= 2.0, "{come} for {gone}");
    assert!((after(Lane::Short).height() - short.height()).abs() <= 1.0);
    assert_eq!(desk.app().span(), span, "the lanes do not move along");

    // No lane can be dragged away.
    let edge = Pos2::new(source.center().x, area(&desk, Lane::Source).bottom());
    desk.drag(edge, edge + vec2(0.0, 500.0), Modifiers::NONE);
    assert!(area(&desk, Lane::Squarer).height() > 10.0);
    desk.choose("Look", "Reset lanes");
    assert_eq!(area(&desk, Lane::Source), source);
}

#[test]
fn volts_are_set_by_hand() {
    let mut desk = Desk::opened();
    assert_eq!(desk.app().lanes().scale_v, None);
    desk.click("Look");
    let by_hand = |desk: &mut Desk| {
        let label = (Role::CheckBox, "Volts by hand");
        desk.window.get_by_role_and_label(label.0, label.1).click();
        desk.settle();
    };
    by_hand(&mut desk);
    assert_eq!(desk.app().lanes().scale_v, Some(1.0));
    desk.window
        .get_by_role_and_label(Role::SpinButton, "Volts at the top")
        .click();
    desk.settle();
    desk.window.event(egui::Event::Text("250mV".into()));
    desk.settle();
    desk.press(Key::Enter);
    assert_eq!(desk.app().lanes().scale_v, Some(0.25));
    by_hand(&mut desk);
    assert_eq!(desk.app().lanes().scale_v, None);
}

#[test]
fn with_shift_a_slider_moves_a_tenth_of_the_way() {
    let turned = |modifiers| {
        let mut desk = Desk::opened();
        let before_s = desk.app().bench().long.width_s;
        let slider = desk.control("long width slider").rect();
        // From the handle, so that a press alone moves nothing.
        let part = (before_s / 2e-4).ln() / (5e-3f64 / 2e-4).ln();
        let handle = vec2(slider.width() * part as f32, slider.height() / 2.0);
        let from = slider.min + handle;
        desk.drag(from, from + vec2(50.0, 0.0), modifiers);
        (desk.app().bench().long.width_s / before_s).ln()
    };
    let (coarse, fine) = (turned(Modifiers::NONE), turned(Modifiers::SHIFT));
    assert!(coarse > 0.5, "{coarse}");
    let part = fine / coarse;
    assert!((0.06..0.14).contains(&part), "{part}");
}
