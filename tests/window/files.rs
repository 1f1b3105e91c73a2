//! Files that open and do not, and files that are never written over unasked.

use crate::desk::{Desk, ctrl, folder, size, tide_log};
use egui::accesskit::Role;
use egui::{DroppedFile, Key, Modifiers};
use egui_kittest::kittest::Queryable;
use pulsewright::picture::Span;
use pulsewright::settings::{Bench, Channel};
use pulsewright::view::{Action, Request};
use pulsewright::{export, tape};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

fn open_by_path(desk: &mut Desk, path: &Path) {
    desk.press_with(ctrl(Modifiers::SHIFT), Key::O);
    desk.type_path(path);
}

#[test]
fn a_typed_path_opens() {
    let mut desk = Desk::empty();
    open_by_path(&mut desk, &tide_log());
    desk.wait("the recording is read", |app| {
        app.whole().characters.len() == 230
    });
    desk.settle();
    assert!(desk.says("saltmere-300.wav"));
}

#[test]
fn the_empty_window_offers_the_bundled_recording() {
    let mut desk = Desk::empty();
    assert!(desk.says("Drop a recording on this window"));
    desk.click("Open the sample");
    desk.wait("the recording is read", |app| {
        app.whole().characters.len() == 230
    });
}

#[test]
fn what_is_not_audio_is_said_and_the_open_recording_stays() {
    let mut desk = Desk::opened();
    let path = desk.folder.path().join("notes.wav");
    fs::write(&path, "high water at noon").unwrap();
    open_by_path(&mut desk, &path);
    let said = "'notes.wav' is not an audio file; give a WAV, FLAC, MP3";
    desk.wait_for("the refusal is said", |desk| desk.says(said));
    assert!(desk.says("saltmere-300.wav"));
    desk.click("Dismiss");
    assert!(!desk.says(said));
}

#[test]
fn a_missing_file_is_said() {
    let mut desk = Desk::empty();
    let path = desk.folder.path().join("lost.wav");
    open_by_path(&mut desk, &path);
    desk.wait_for("the refusal is said", |desk| desk.says("lost.wav"));
}

#[test]
fn a_listing_is_written_where_the_path_says() {
    let mut desk = Desk::opened();
    let path = desk.folder.path().join("tide.txt");
    desk.choose("Keep", "Listing…");
    assert!(desk.says("there is neither a desktop portal nor"));
    let field = desk.window.get_by_role_and_label(Role::TextInput, "Path");
    assert_eq!(field.value().as_deref(), Some("saltmere-300.txt"));
    desk.type_path(&path);
    desk.wait_for("it is said", |desk| desk.says("tide.txt is written."));
    let listing = export::listing(&desk.app().whole().characters);
    assert_eq!(fs::read_to_string(&path).unwrap(), listing);
}

#[test]
fn a_file_that_exists_is_replaced_only_when_that_is_wanted() {
    let mut desk = Desk::opened();
    let path = desk.folder.path().join("tide.bin");
    for (answer, replaced) in [("Write nothing", false), ("Replace it", true)] {
        fs::write(&path, "mine").unwrap();
        desk.choose("Keep", "Bytes…");
        desk.type_path(&path);
        assert!(desk.says("Replace this file?"));
        assert!(desk.says("tide.bin exists already."));
        assert_eq!(fs::read(&path).unwrap(), b"mine");
        desk.click(answer);
        assert!(!desk.says("Replace this file?"));
        let wanted = if replaced {
            desk.app().whole().bytes()
        } else {
            b"mine".to_vec()
        };
        assert_eq!(fs::read(&path).unwrap(), wanted, "{answer}");
    }
    let left = fs::read_dir(desk.folder.path()).unwrap();
    let names: Vec<_> = left.map(|e| e.unwrap().file_name()).collect();
    assert!(
        names.iter().all(|n| n == "tide.bin" || n == "store"),
        "{names:?}"
    );
}

#[test]
fn an_ending_that_is_left_out_is_put_there_before_it_is_asked_whether_to_replace() {
    let mut desk = Desk::opened();
    let path = desk.folder.path().join("tide");
    fs::write(path.with_extension("bin"), "mine").unwrap();
    desk.choose("Keep", "Bytes…");
    desk.type_path(&path);
    assert!(desk.says("tide.bin exists already."));
    desk.click("Replace it");
    desk.wait_for("it is said", |desk| desk.says("tide.bin is written."));
    assert!(!path.exists());
}

/// The settings go back to those that the samples on the screen have.
#[test]
fn a_channel_that_is_not_there_is_said_and_not_set() {
    let mut desk = Desk::opened();
    let before = *desk.app().bench();
    desk.control("source channel").set_value_accesskit(2.0);
    desk.settle();
    desk.wait_for("the refusal is said", |desk| desk.says("no channel 2"));
    assert_eq!(*desk.app().bench(), before);
    desk.settle();
    // Asked for again, it is refused again.
    desk.control("source channel").set_value_accesskit(2.0);
    desk.settle();
    desk.wait("the channel goes back", |app| *app.bench() == before);
}

/// The tide log on both of two channels, put there by sox.
fn on_two_channels(folder: &Path) -> PathBuf {
    let path = folder.join("two.wav");
    let made = Command::new("sox")
        .arg(tide_log())
        .args(["-c", "2"])
        .arg(&path)
        .status();
    assert!(made.expect("sox is installed").success());
    path
}

#[test]
fn header_and_card_say_how_many_channels_there_are() {
    let mut desk = Desk::opened();
    assert!(desk.says("16-bit integer, 1 channel, 44.1 kHz"));
    assert!(desk.says("one channel"));
    let path = on_two_channels(desk.folder.path());
    open_by_path(&mut desk, &path);
    desk.wait_for("it is open", |desk| desk.says("two.wav"));
    desk.settle();
    assert!(desk.says("16-bit integer, 2 channels, 44.1 kHz"));
    assert!(desk.says("channel 1 of 2"));
    for (channel, says) in [
        (2.0, "channel 2 of 2"),
        (0.0, "mean of 2 channels"),
        (-1.0, "half of 1 less 2"),
    ] {
        desk.control("source channel").set_value_accesskit(channel);
        desk.wait_for(says, |desk| desk.says(says));
        desk.settle();
    }
}

/// It may be the second channel of a stereo recording that was open last.
#[test]
fn a_file_without_the_channel_that_is_set_opens_on_its_first() {
    for channel in [Channel::One(2), Channel::Difference] {
        let mut bench = Bench::default();
        bench.source.channel = channel;
        let request = Request {
            file: Some(tide_log()),
            bench: Some(bench),
        };
        let mut desk = Desk::asked(folder(), request, size(1440.0, 900.0));
        assert_eq!(desk.app().whole().characters.len(), 230);
        assert_eq!(desk.app().bench().source.channel, Channel::One(1));
        assert!(desk.says("Channel 1 is read: the source channel was set to"));
        assert!(desk.says("this file has 1 channel."));
        assert!(desk.says("see note"));
        // From the second of two channels to a file with one.
        let path = on_two_channels(desk.folder.path());
        open_by_path(&mut desk, &path);
        desk.wait_for("it is open", |desk| desk.says("two.wav"));
        desk.settle();
        desk.control("source channel").set_value_accesskit(2.0);
        desk.wait_for("it is read", |desk| desk.says("channel 2 of 2"));
        desk.settle();
        open_by_path(&mut desk, &tide_log());
        desk.wait_for("it is open", |desk| desk.says("saltmere-300.wav"));
        desk.settle();
        assert_eq!(desk.app().bench().source.channel, Channel::One(1));
        assert!(desk.says("the source channel was set to 2, and this file has 1 channel."));
        assert_eq!(desk.app().whole().characters.len(), 230);
    }
}

/// What is shown for other source settings comes from samples read with them.
#[test]
fn other_source_settings_read_the_file_anew() {
    let mut desk = Desk::opened();
    desk.control("source full scale").set_value_accesskit(2.0);
    desk.settle();
    assert!(desk.says("peak 1 V"));
}

/// Meanwhile the file may have become a shorter one.
#[test]
fn what_is_shown_lies_on_the_recording_when_its_file_is_read_anew() {
    let mut desk = Desk::opened();
    let path = desk.folder.path().join("deck.wav");
    fs::copy(tide_log(), &path).unwrap();
    open_by_path(&mut desk, &path);
    desk.wait_for("it is open", |desk| desk.says("deck.wav"));
    desk.settle();
    desk.press(Key::End);
    let late_s = desk.app().span().from_s;
    let tape = tape::record(b"TIDE", &Bench::default().tape);
    fs::write(&path, export::wav(&tape, 1.0).unwrap()).unwrap();
    assert!(tape.duration_s() < late_s);
    desk.control("source full scale").set_value_accesskit(2.0);
    desk.settle();
    desk.wait("the span lies on it", |app| {
        app.span().to_s <= tape.duration_s() + 1e-9
    });
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        fs::read(&self.0).map_err(|e| e.to_string())
    }
}

#[test]
fn a_dropped_file_opens() {
    let mut desk = Desk::empty();
    let file = Arc::new(Dropped(tide_log()));
    desk.window.input_mut().dropped_files.push(file);
    desk.wait("the recording is read", |app| {
        app.whole().characters.len() == 230
    });
}

/// What the command line writes of the bundled recording as a picture of this stretch.
fn picture_by_command(span: Span, more: &[&str]) -> String {
    let written = Command::new(env!("CARGO_BIN_EXE_pulsewright"))
        .args(["picture", "--out", "-"])
        .args(["--from", &span.from_s.to_string()])
        .args(["--span", &span.length_s().to_string()])
        .args(more)
        .arg(tide_log())
        .output()
        .unwrap();
    assert!(written.status.success());
    String::from_utf8(written.stdout).unwrap()
}

/// The settings, the stretch and the traces are those of the moment at which it was asked for.
#[test]
fn a_picture_is_that_of_the_moment_at_which_it_was_asked_for() {
    let mut desk = Desk::opened();
    let span = desk.app().span();
    desk.press_with(ctrl(Modifiers::SHIFT), Key::E);
    desk.control("squarer reference").set_value_accesskit(0.4);
    desk.settle();
    let elsewhere = Span::new(span.to_s + 1.0, 0.02);
    desk.window.state_mut().look_at(elsewhere);
    let kept = desk.folder.path().join("kept.svg");
    desk.type_path(&kept);
    desk.wait_for("it is said", |desk| desk.says("kept.svg is written."));
    assert_eq!(
        fs::read_to_string(&kept).unwrap(),
        picture_by_command(span, &[])
    );
}

/// No frame has been made since the setting changed: nothing has been read with it yet.
#[test]
fn traces_that_are_not_read_yet_are_kept_as_the_settings_make_them() {
    let mut desk = Desk::opened();
    let span = desk.app().span();
    let mut bench = Bench::default();
    bench.squarer.reference_v = 0.2;
    bench.squarer.hysteresis_v = 0.1;
    let ctx = desk.window.ctx.clone();
    desk.window.state_mut().use_bench(bench);
    desk.window.state_mut().act(Action::SaveSvg, &ctx);
    desk.settle();
    let kept = desk.folder.path().join("kept.svg");
    desk.type_path(&kept);
    desk.wait_for("it is said", |desk| desk.says("kept.svg is written."));
    let settings = [
        "--squarer-reference",
        "200mV",
        "--squarer-hysteresis",
        "100mV",
    ];
    assert_eq!(
        fs::read_to_string(&kept).unwrap(),
        picture_by_command(span, &settings)
    );
}

/// The lanes that are hidden and the volts set by hand, too: what the window writes is what the
/// command line writes when it is asked for the same.
#[test]
fn a_picture_has_the_lanes_that_are_shown() {
    let mut desk = Desk::opened();
    desk.click("Look");
    for (role, label) in [
        (Role::CheckBox, "Squarer"),
        (Role::CheckBox, "Volts by hand"),
    ] {
        desk.window.get_by_role_and_label(role, label).click();
        desk.settle();
    }
    desk.press(Key::Escape);
    let kept = desk.folder.path().join("kept.svg");
    desk.press_with(ctrl(Modifiers::SHIFT), Key::E);
    desk.type_path(&kept);
    desk.wait_for("it is said", |desk| desk.says("kept.svg is written."));
    let chosen = ["--volts", "1V", "--lanes", "source,short,long,characters"];
    assert_eq!(
        fs::read_to_string(&kept).unwrap(),
        picture_by_command(desk.app().span(), &chosen)
    );
}

#[test]
fn a_recent_recording_is_offered_in_the_next_session() {
    let mut desk = Desk::opened();
    assert!(desk.close());
    let Desk { folder, window } = desk;
    drop(window);
    let mut desk = Desk::with(folder, None, size(1440.0, 900.0));
    desk.click("saltmere-300.wav");
    desk.wait("the recording is read", |app| {
        app.whole().characters.len() == 230
    });
}
