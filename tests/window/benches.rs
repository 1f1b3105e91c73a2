//! Benches are kept, compared and never lost.

use crate::desk::{Desk, ctrl, folder, size};
use egui::accesskit::Role;
use egui::{Key, Modifiers, ViewportCommand};
use egui_kittest::kittest::Queryable;
use pulsewright::settings::{Bench, read_bench};
use pulsewright::view::Request;
use std::fs;
use std::path::PathBuf;

fn store(desk: &Desk) -> PathBuf {
    desk.folder.path().join("store")
}

fn set_long_width(desk: &mut Desk, width_s: f64) {
    desk.control("long width").set_value_accesskit(width_s);
    desk.settle();
}

/// Saves the present settings under a name, by way of the shelf.
fn save_as(desk: &mut Desk, name: &str) {
    desk.press_with(ctrl(Modifiers::NONE), Key::B);
    desk.window
        .get_by_role_and_label(Role::TextInput, "Name")
        .focus();
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    desk.window.event(egui::Event::Text(name.into()));
    desk.settle();
    desk.click("Save");
    assert!(desk.says(&format!("The bench '{name}' is saved.")));
    desk.press(Key::Escape);
}

#[test]
fn a_bench_is_saved_opened_and_compared() {
    let mut desk = Desk::opened();
    set_long_width(&mut desk, 920e-6);
    save_as(&mut desk, "attic deck");
    let text = fs::read_to_string(store(&desk).join("benches/attic deck.toml")).unwrap();
    assert_eq!(read_bench(&text).unwrap(), *desk.app().bench());
    assert!(desk.says("bench attic deck"));

    set_long_width(&mut desk, 2e-3);
    assert!(desk.says("bench attic deck (changed)"));
    desk.press_with(ctrl(Modifiers::NONE), Key::B);
    desk.click("Compare");
    assert!(desk.says("long-width"));
    desk.click("Open");
    assert_eq!(desk.app().bench().long.width_s, 920e-6);
    assert!(desk.says("'attic deck' is the same as the present settings."));
}

#[test]
fn a_bench_is_renamed_and_deleted_when_that_is_wanted() {
    let mut desk = Desk::opened();
    save_as(&mut desk, "one");
    let path = |desk: &Desk, name: &str| store(desk).join(format!("benches/{name}.toml"));
    let text = fs::read_to_string(path(&desk, "one")).unwrap();
    desk.press_with(ctrl(Modifiers::NONE), Key::B);
    desk.click("Rename…");
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    desk.window.event(egui::Event::Text("attic".into()));
    desk.settle();
    desk.press(Key::Enter);
    assert!(desk.says("The bench 'one' is called 'attic' now."));
    assert!(desk.says("bench attic"));
    assert!(!path(&desk, "one").exists());
    assert_eq!(fs::read_to_string(path(&desk, "attic")).unwrap(), text);

    desk.click("Delete…");
    assert!(desk.says("Delete the bench 'attic'?"));
    desk.press(Key::Escape);
    assert!(!desk.says("Delete the bench 'attic'?"));
    assert!(path(&desk, "attic").exists());
    desk.click("Delete…");
    desk.click("Delete it");
    assert!(!path(&desk, "attic").exists());
    assert!(desk.says("There is no saved bench yet."));
    assert!(!desk.says("bench attic"));
}

#[test]
fn ctrl_s_saves_the_open_bench() {
    let mut desk = Desk::opened();
    desk.press_with(ctrl(Modifiers::NONE), Key::S);
    assert!(desk.says("A bench is a saved set of all settings."));
    desk.press(Key::Escape);
    save_as(&mut desk, "one");
    set_long_width(&mut desk, 1.3e-3);
    desk.press_with(ctrl(Modifiers::NONE), Key::S);
    let text = fs::read_to_string(store(&desk).join("benches/one.toml")).unwrap();
    assert_eq!(read_bench(&text).unwrap().long.width_s, 1.3e-3);
}

#[test]
fn a_damaged_bench_stays_as_it_is_and_that_is_said() {
    let mut desk = Desk::opened();
    save_as(&mut desk, "one");
    let path = store(&desk).join("benches/one.toml");
    fs::write(&path, "[long]\nwidth = 'wide'\n").unwrap();
    desk.press_with(ctrl(Modifiers::NONE), Key::B);
    desk.click("Open");
    assert!(desk.says("The bench 'one' could not be read and is left as it is."));
    assert_eq!(*desk.app().bench(), Bench::default());
    assert_eq!(
        fs::read_to_string(&path).unwrap(),
        "[long]\nwidth = 'wide'\n"
    );
}

#[test]
fn the_last_settings_come_back() {
    let mut desk = Desk::opened();
    set_long_width(&mut desk, 920e-6);
    desk.press(Key::T);
    assert!(desk.close());
    let folder = desk.folder;
    let again = Desk::with(folder, None, size(1440.0, 900.0));
    assert_eq!(again.app().bench().long.width_s, 920e-6);
    let kept = fs::read_to_string(store(&again).join("window.toml")).unwrap();
    assert!(kept.contains("dark = true"), "{kept}");
}

#[test]
fn damaged_last_settings_are_set_aside_and_that_is_said() {
    // Text that does not fit, and bytes that are no text.
    for content in [&b"[long]\nwidth = 'wide'\n"[..], b"\xff\xfe\0"] {
        let folder = folder();
        let store = folder.path().join("store");
        fs::create_dir(&store).unwrap();
        fs::write(store.join("last.toml"), content).unwrap();
        let mut desk = Desk::with(folder, None, size(1440.0, 900.0));
        assert!(desk.says("could not be read and are kept as last.damaged"));
        assert_eq!(*desk.app().bench(), Bench::default());
        assert!(desk.close());
        assert_eq!(fs::read(store.join("last.damaged")).unwrap(), content);
        assert!(store.join("last.toml").is_file());
    }
}

#[test]
fn damaged_preferences_are_set_aside_and_that_is_said() {
    let folder = folder();
    let store = folder.path().join("store");
    fs::create_dir(&store).unwrap();
    fs::write(store.join("window.toml"), "dark = true\nside = \n").unwrap();
    let mut desk = Desk::with(folder, None, size(1440.0, 900.0));
    assert!(desk.says("could not be read and are kept as window.damaged"));
    assert!(desk.says("ine 2"));
    assert!(desk.close());
    let kept = fs::read_to_string(store.join("window.damaged")).unwrap();
    assert_eq!(kept, "dark = true\nside = \n");
    assert!(store.join("window.toml").is_file());
}

/// Also where what is asked for is the default itself.
#[test]
fn settings_that_are_asked_for_go_before_those_of_the_last_session() {
    let mut desk = Desk::opened();
    set_long_width(&mut desk, 920e-6);
    assert!(desk.close());
    let request = Request {
        file: None,
        bench: Some(Bench::default()),
    };
    let again = Desk::asked(desk.folder, request, size(1440.0, 900.0));
    assert_eq!(*again.app().bench(), Bench::default());
    assert!(!again.says("The settings are those of the last session"));
}

/// Even those that are not used are not written over.
#[test]
fn damaged_last_settings_are_set_aside_when_others_are_asked_for() {
    let folder = folder();
    let store = folder.path().join("store");
    fs::create_dir(&store).unwrap();
    fs::write(store.join("last.toml"), "[long]\nwidth = 'wide'\n").unwrap();
    let request = Request {
        file: None,
        bench: Some(Bench::default()),
    };
    let desk = Desk::asked(folder, request, size(1440.0, 900.0));
    assert!(desk.says("are kept as last.damaged"));
    assert!(store.join("last.damaged").is_file());
}

#[test]
fn the_open_bench_keeps_its_name() {
    let mut desk = Desk::opened();
    set_long_width(&mut desk, 920e-6);
    save_as(&mut desk, "one");
    assert!(desk.close());
    let mut again = Desk::with(desk.folder, None, size(1440.0, 900.0));
    assert!(again.says("bench one"));
    assert!(!again.says("bench one (changed)"));
    set_long_width(&mut again, 2e-3);
    assert!(again.says("bench one (changed)"));
}

#[test]
fn closing_with_a_changed_bench_asks() {
    let mut desk = Desk::opened();
    save_as(&mut desk, "one");
    let path = store(&desk).join("benches/one.toml");
    let saved = fs::read_to_string(&path).unwrap();
    set_long_width(&mut desk, 1.3e-3);

    assert!(!desk.close());
    desk.window.step();
    assert!(desk.says("The bench 'one' has changes"));
    desk.click("Stay");
    assert!(!desk.says("The bench 'one' has changes"));
    assert_eq!(fs::read_to_string(&path).unwrap(), saved);

    assert!(!desk.close());
    desk.window.step();
    desk.control("Save and close").click();
    desk.wait_for("the window closes", |desk| {
        desk.sent(&ViewportCommand::Close)
    });
    let text = fs::read_to_string(&path).unwrap();
    assert_eq!(read_bench(&text).unwrap().long.width_s, 1.3e-3);
    assert!(desk.close());
}

#[test]
fn closing_without_saving_leaves_the_bench_as_it_was() {
    let mut desk = Desk::opened();
    save_as(&mut desk, "one");
    let path = store(&desk).join("benches/one.toml");
    let saved = fs::read_to_string(&path).unwrap();
    set_long_width(&mut desk, 1.3e-3);
    assert!(!desk.close());
    desk.window.step();
    desk.control("Close without saving").click();
    desk.wait_for("the window closes", |desk| {
        desk.sent(&ViewportCommand::Close)
    });
    assert!(desk.close());
    assert_eq!(fs::read_to_string(&path).unwrap(), saved);
    // What was not saved is still there the next time.
    let text = fs::read_to_string(store(&desk).join("last.toml")).unwrap();
    assert_eq!(read_bench(&text).unwrap().long.width_s, 1.3e-3);
}

#[test]
fn closing_waits_for_a_file_that_is_being_written_and_remembers_once() {
    let mut desk = Desk::opened();
    let path = desk.folder.path().join("tide.png");
    desk.press_with(ctrl(Modifiers::NONE), Key::E);
    let field = desk.window.get_by_role_and_label(Role::TextInput, "Path");
    field.focus();
    desk.press_with(ctrl(Modifiers::NONE), Key::A);
    desk.window
        .event(egui::Event::Text(path.to_str().unwrap().into()));
    desk.settle();
    desk.window.key_press(Key::Enter);
    desk.wait("the picture is being written", |app| !app.is_read());

    assert!(!desk.close());
    desk.window.step();
    assert!(desk.says("A file is still being written."));
    desk.wait_for("the window closes", |desk| {
        desk.sent(&ViewportCommand::Close)
    });
    assert!(fs::read(&path).unwrap().starts_with(b"\x89PNG"));
    let last = store(&desk).join("last.toml");
    fs::remove_file(&last).unwrap();
    assert!(desk.close());
    desk.window.step();
    assert!(!last.exists());
}
