//! The report beside a capture tells where samples are missing from its files.

use pulsewright::export::{save, wav};
use pulsewright::settings::SourceSettings;
use pulsewright::signal::Recording;
use pulsewright::source::{Opened, Progress, open};
use std::fs;
use std::ops::ControlFlow;
use tempfile::TempDir;

/// A folder with recordings of these names, of a second each, and this report.
fn folder(names: &[&str], report: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let silence = wav(&Recording::new(vec![0.0; 1000], 1000), 1.0).unwrap();
    for name in names {
        save(&folder.path().join(name), &silence).unwrap();
    }
    fs::write(folder.path().join("tide.capture.json"), report).unwrap();
    folder
}

fn opened(folder: &TempDir, name: &str) -> Opened {
    let path = folder.path().join(name);
    let go_on = &mut |_: Progress<'_>| ControlFlow::Continue(());
    open(&path, &SourceSettings::default(), go_on).unwrap()
}

#[test]
fn each_file_of_a_capture_has_its_own_gaps() {
    let gap = |at_s: f64| format!(r#"{{"at_s": {at_s}, "length_s": 0.5, "cause": "system"}}"#);
    let (a, b) = (gap(0.5), gap(1.25));
    let report = format!(
        r#"{{"device": "deck", "files": ["/once/tide.wav", "/once/tide-2.wav"],
            "file_begins_at_s": [0, 1], "gaps": [{a}, {b}]}}"#
    );
    let names = [
        "tide.wav",
        "tide-2.wav",
        "tide-3.wav",
        "tide-log.wav",
        "log.wav",
    ];
    let folder = folder(&names, &report);
    let gaps_at_s = |name: &str| -> Vec<f64> {
        let gaps = opened(&folder, name).recording;
        gaps.gaps().iter().map(|g| g.at_s).collect()
    };
    assert_eq!(gaps_at_s("tide.wav"), [0.5]);
    assert_eq!(gaps_at_s("tide-2.wav"), [0.25]);
    for other in &names[2..] {
        assert_eq!(gaps_at_s(other), [0.0; 0], "{other}");
    }
    // In another format, with its report, it is still the capture's first file.
    let path = |name: &str| folder.path().join(name);
    fs::rename(path("log.wav"), path("tide.sound")).unwrap();
    assert_eq!(gaps_at_s("tide.sound"), [0.5]);
    let notes = opened(&folder, "tide.wav").about.notes;
    assert!(notes[0].contains("gap, 500 ms lost"), "{notes:?}");
}

#[test]
fn files_that_are_renamed_together_keep_their_gaps() {
    let report = r#"{"files": ["tide.wav", "tide-2.wav"], "file_begins_at_s": [0, 1],
        "gaps": [{"at_s": 1.25, "length_s": 0.5, "cause": "system"},
                 {"at_s": 0.25, "length_s": 0.5, "cause": "program"}]}"#;
    for names in [["log.wav", "log-2.wav"], ["log", "log-2"]] {
        let folder = folder(&names, report);
        let path = |name: &str| folder.path().join(name);
        fs::rename(path("tide.capture.json"), path("log.capture.json")).unwrap();
        for name in names {
            let gaps = opened(&folder, name).recording;
            assert_eq!(gaps.gaps().len(), 1, "{name}");
            assert_eq!(gaps.gaps()[0].at_s, 0.25, "{name}");
        }
    }
}

#[test]
fn what_no_capture_can_have_lost_is_left_out() {
    let report = r#"{"files": ["tide.wav"], "gaps": [
        {"at_s": 0.75, "length_s": 1e300, "cause": "system"},
        {"at_s": 500, "length_s": 0.5, "cause": "system"},
        {"at_s": 0.5, "length_s": -1, "cause": "system"},
        {"at_s": 0.25, "length_s": 0.5, "cause": "program"}]}"#;
    let opened = opened(&folder(&["tide.wav"], report), "tide.wav");
    assert_eq!(opened.recording.gaps().len(), 1);
    assert!(opened.about.notes[0].contains("gap, 500 ms lost"));
}

#[test]
fn a_report_that_is_none_is_said() {
    for report in ["", "{}", r#"{"files": [], "gaps": [{"at_s": "noon"}]}"#] {
        let notes = opened(&folder(&["tide.wav"], report), "tide.wav")
            .about
            .notes;
        assert!(notes[0].contains("tide.capture.json"), "{notes:?}");
    }
}

/// POSIX mkfifo: a pipe that is opened for reading waits for a writer, by default for ever.
#[test]
#[cfg(unix)]
fn a_report_that_is_no_plain_file_is_not_opened() {
    let folder = folder(&["tide.wav"], "");
    let path = folder.path().join("tide.capture.json");
    for make in [
        "mkfifo tide.capture.json",
        "ln -s /dev/zero tide.capture.json",
    ] {
        fs::remove_file(&path).unwrap();
        let words: Vec<_> = make.split(' ').collect();
        let made = std::process::Command::new(words[0])
            .args(&words[1..])
            .current_dir(folder.path())
            .status();
        assert!(made.unwrap().success());
        let notes = opened(&folder, "tide.wav").about.notes;
        assert!(notes[0].contains("tide.capture.json"), "{notes:?}");
        assert!(notes[0].contains("no plain file"), "{notes:?}");
    }
}
