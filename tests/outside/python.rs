//! Runs a reference script with numpy and scipy.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// A Python that has numpy and scipy: the system's, else the first in the path.
fn python() -> &'static str {
    static FOUND: OnceLock<Option<&str>> = OnceLock::new();
    FOUND
        .get_or_init(|| {
            ["/usr/bin/python3", "python3"].into_iter().find(|program| {
                let mut command = Command::new(program);
                let tried = command.args(["-c", "import numpy, scipy.signal"]).output();
                tried.is_ok_and(|out| out.status.success())
            })
        })
        .expect(
            "No Python with numpy and scipy was found; `make test` installs what the tests need.",
        )
}

/// A folder for one run of a script: what it reads, what it writes.
pub struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes samples for the script to read.
    pub fn put_samples(&self, name: &str, samples: &[f32]) {
        let bytes: Vec<u8> = samples.iter().flat_map(|v| v.to_le_bytes()).collect();
        fs::write(self.path(name), bytes).unwrap();
    }

    /// Writes numbers for the script to read.
    pub fn put_numbers(&self, name: &str, numbers: &[f64]) {
        let bytes: Vec<u8> = numbers.iter().flat_map(|v| v.to_le_bytes()).collect();
        fs::write(self.path(name), bytes).unwrap();
    }

    /// Writes a text for the script to read.
    pub fn put_text(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).unwrap();
    }

    /// Numbers that the script wrote.
    pub fn numbers(&self, name: &str) -> Vec<f64> {
        let bytes = self.bytes(name);
        let numbers = bytes.chunks_exact(8);
        numbers
            .map(|b| f64::from_le_bytes(b.try_into().unwrap()))
            .collect()
    }

    /// Bytes that the script wrote.
    pub fn bytes(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap()
    }

    /// Runs a script of this folder, inside the bench's folder.
    pub fn run(&self, script: &str, arguments: &[f64]) {
        let script = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("tests/outside")
            .join(script);
        let out = Command::new(python())
            .arg("-B")
            .arg(script)
            .args(arguments.iter().map(f64::to_string))
            .current_dir(self.folder.path())
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&out.stderr);
        assert!(out.status.success(), "the reference script failed:\n{said}");
    }
}

/// Noise between -1 and 1 that is the same in every run (a linear congruential generator with
/// Knuth's MMIX constants).
pub fn noise(count: usize) -> impl Iterator<Item = f32> {
    let mut state = 1u64;
    (0..count).map(move |_| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f32 / (1u32 << 23) as f32 - 1.0
    })
}

/// The greatest distance between two rows of numbers of one length. What is not a number is
/// infinitely far from everything.
pub fn greatest_difference(a: &[f64], b: &[f64]) -> f64 {
    assert_eq!(a.len(), b.len());
    let distance = |(x, y): (&f64, &f64)| match (x - y).abs() {
        apart if apart.is_nan() => f64::INFINITY,
        apart => apart,
    };
    a.iter().zip(b).map(distance).fold(0.0, f64::max)
}

#[test]
fn what_is_not_a_number_differs() {
    assert_eq!(greatest_difference(&[1.0, 2.0], &[1.5, 2.0]), 0.5);
    assert_eq!(greatest_difference(&[f64::NAN], &[f64::NAN]), f64::INFINITY);
    assert_eq!(greatest_difference(&[1.0], &[f64::NAN]), f64::INFINITY);
}
