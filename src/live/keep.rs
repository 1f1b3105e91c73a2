//! The file that a capture is kept in while it comes.
//!
//! A WAV file whose header is brought up to date every second, so that it is whole even where the
//! program is killed. One file holds up to 4 GiB, as its sizes have 32 bits; the next is called
//! NAME-2.wav. Sources: RIFF form 'WAVE' (Microsoft/IBM, 1991), format tags 1 and 3.

use super::{Format, Report};
#[cfg(unix)]
use crate::export::Identity;
use crate::export::{self, Batch};
use crate::source::{self, Sample, report_path};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

const HEADER_BYTES: u64 = 44;
/// Most bytes of samples in a file, with room for the header.
const MOST_BYTES: u64 = u32::MAX as u64 - HEADER_BYTES;

/// Writes what is captured into files.
pub(super) struct Keeper {
    format: Format,
    first: PathBuf,
    most_bytes: u64,
    /// Finished files and the present one, and the frames before each of them.
    paths: Vec<PathBuf>,
    begin_frames: Vec<u64>,
    file: File,
    /// Bytes of samples in the present file, and how many of them its header counts.
    bytes: u64,
    counted: u64,
    /// Where all ends that is kept, in frames, where the present file is lost.
    ends_at: Option<u64>,
    /// What has happened that nobody has been told yet.
    note: Option<String>,
}

impl Keeper {
    /// Begins the file `path` with its report beside it: both, or neither. Unless it may `replace`
    /// them, they must not be there yet.
    ///
    /// # Errors
    /// A sentence; what was there is there still.
    pub fn create(
        path: &Path,
        format: Format,
        report: &Report,
        replace: bool,
    ) -> Result<Self, String> {
        let (header, text) = (header(format), report.text()?);
        let beside = report_path(path);
        for path in [path, &beside] {
            if export::is_stream(path) {
                return Err(format!(
                    "{} is no plain file, and a capture is kept in one; give another name.",
                    path.display()
                ));
            }
        }
        let mut batch = Batch::new(replace);
        batch.add(path, &header)?;
        batch.add(&beside, text.as_bytes())?;
        batch.commit()?;
        Self::with_limit(path, format, MOST_BYTES)
    }

    /// Goes on in a file that holds a header.
    fn with_limit(path: &Path, format: Format, most_bytes: u64) -> Result<Self, String> {
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .open(path)
            .map_err(|e| failed(path, &e))?;
        file.seek(SeekFrom::End(0)).map_err(|e| failed(path, &e))?;
        let frame_bytes = format.frame_bytes() as u64;
        Ok(Self {
            format,
            first: path.to_owned(),
            most_bytes: most_bytes - most_bytes % frame_bytes,
            paths: vec![path.to_owned()],
            begin_frames: vec![0],
            file,
            bytes: 0,
            counted: 0,
            ends_at: None,
            note: None,
        })
    }

    /// The files, the present one last.
    pub fn paths(&self) -> &[PathBuf] {
        &self.paths
    }

    /// Where each of them begins, in seconds of all that was kept.
    pub fn begins_at_s(&self) -> Vec<f64> {
        let begins = self.begin_frames.iter();
        begins.map(|&frames| self.format.seconds(frames)).collect()
    }

    /// Frames that are kept.
    pub fn frames(&self) -> u64 {
        let before = self.begin_frames.last().unwrap_or(&0);
        let to_now = before + self.bytes / self.format.frame_bytes() as u64;
        self.ends_at.unwrap_or(to_now)
    }

    /// What has happened since the last call that does not keep it from going on: a sentence.
    pub fn take_note(&mut self) -> Option<String> {
        self.note.take()
    }

    /// Adds whole frames; true where that began another file.
    ///
    /// # Errors
    /// A sentence, where they cannot be written; the file then holds what came before.
    pub fn write(&mut self, frames: &[u8]) -> Result<bool, String> {
        let room = (self.most_bytes - self.bytes) as usize;
        if frames.len() > room {
            let (here, rest) = frames.split_at(room);
            self.append(here)?;
            self.finish()?;
            self.next_file()?;
            self.write(rest)?;
            return Ok(true);
        }
        self.append(frames)?;
        let second = u64::from(self.format.rate_hz) * self.format.frame_bytes() as u64;
        if self.bytes - self.counted >= second {
            self.finish()?;
        }
        Ok(false)
    }

    /// Brings the header up to date, and puts the file back where somebody has deleted it.
    ///
    /// # Errors
    /// A sentence.
    pub fn finish(&mut self) -> Result<(), String> {
        if self.ends_at.is_some() {
            return Ok(());
        }
        self.count().map_err(|e| failed(self.path(), &e))?;
        if self.is_there() {
            return Ok(());
        }
        self.restore().map_err(|e| self.lose(&e))
    }

    /// Whether the present file still has its name.
    fn is_there(&self) -> bool {
        #[cfg(unix)]
        return Identity::of_open(&self.file) == export::identity(self.path());
        #[cfg(not(unix))]
        return self.path().exists();
    }

    /// Copies what was written to a file that has no name any more into a new one, by the same name
    /// where nothing else has it now.
    fn restore(&mut self) -> io::Result<()> {
        let gone = self.path().to_owned();
        let path = match gone.exists() {
            true => free_name(&self.first, self.paths.len() + 1),
            false => gone.clone(),
        };
        self.file.seek(SeekFrom::Start(0))?;
        let mut file = open_new(&path)?;
        let copied = io::copy(&mut self.file, &mut file);
        if let Err(e) = copied {
            let _ = fs::remove_file(&path);
            return Err(e);
        }
        self.file = file;
        self.note = Some(format!(
            "{} was deleted or replaced while it was captured; all of it has been written again, to \
             {}.",
            gone.display(),
            path.display()
        ));
        if let Some(last) = self.paths.last_mut() {
            *last = path;
        }
        Ok(())
    }

    /// Gives the present file up, which is gone.
    fn lose(&mut self, e: &io::Error) -> String {
        let gone = self.path().display().to_string();
        self.paths.pop();
        self.begin_frames
            .pop()
            .into_iter()
            .for_each(|f| self.ends_at = Some(f));
        format!(
            "{gone} was deleted while it was captured, and cannot be written again: {}. What was in \
             it is lost.",
            source::reason(e)
        )
    }

    fn path(&self) -> &Path {
        self.paths.last().unwrap_or(&self.first)
    }

    fn append(&mut self, frames: &[u8]) -> Result<(), String> {
        let Err(e) = self.file.write_all(frames) else {
            self.bytes += frames.len() as u64;
            return Ok(());
        };
        // Part of it may have found room: whole frames of that are kept.
        let end = self.file.stream_position().unwrap_or(0);
        let there = end.saturating_sub(HEADER_BYTES).max(self.bytes);
        self.bytes = there - there % self.format.frame_bytes() as u64;
        let _ = self.file.set_len(HEADER_BYTES + self.bytes);
        let _ = self.count();
        Err(failed(self.path(), &e))
    }

    fn count(&mut self) -> io::Result<()> {
        let sizes = [(4, self.bytes + HEADER_BYTES - 8), (40, self.bytes)];
        for (at, size) in sizes {
            self.file.seek(SeekFrom::Start(at))?;
            self.file.write_all(&(size as u32).to_le_bytes())?;
        }
        self.file.seek(SeekFrom::End(0))?;
        self.counted = self.bytes;
        Ok(())
    }

    fn next_file(&mut self) -> Result<(), String> {
        let path = free_name(&self.first, self.paths.len() + 1);
        self.file = create(&path, self.format).map_err(|e| failed(&path, &e))?;
        let before = self.begin_frames.last().unwrap_or(&0);
        let frames = self.bytes / self.format.frame_bytes() as u64;
        self.begin_frames.push(before + frames);
        self.paths.push(path);
        (self.bytes, self.counted) = (0, 0);
        Ok(())
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        let _ = self.count();
    }
}

fn failed(path: &Path, e: &io::Error) -> String {
    let (path, reason) = (path.display(), source::reason(e));
    format!("{path} cannot be written on: {reason}. What came before is kept in it.")
}

/// The first of the numbered names, from this number on, that no file has.
fn free_name(first: &Path, number: usize) -> PathBuf {
    let mut paths = (number..).map(|number| numbered(first, number));
    let free = paths.find(|path| !path.exists());
    free.unwrap_or_else(|| first.into())
}

/// `tide.wav` to `tide-2.wav`.
fn numbered(path: &Path, number: usize) -> PathBuf {
    let mut name = path.file_stem().unwrap_or_default().to_owned();
    name.push(format!("-{number}"));
    if let Some(ending) = path.extension() {
        name.push(".");
        name.push(ending);
    }
    path.with_file_name(name)
}

fn create(path: &Path, format: Format) -> io::Result<File> {
    let mut file = open_new(path)?;
    if let Err(e) = file.write_all(&header(format)) {
        let _ = fs::remove_file(path);
        return Err(e);
    }
    Ok(file)
}

fn open_new(path: &Path) -> io::Result<File> {
    let mut new = OpenOptions::new();
    new.read(true).write(true).create_new(true).open(path)
}

/// The header of a file without samples.
fn header(format: Format) -> Vec<u8> {
    let frame_bytes = format.frame_bytes() as u32;
    let tag: u16 = match format.sample {
        Sample::Float32 => 3,
        _ => 1,
    };
    let mut bytes = b"RIFF".to_vec();
    bytes.extend((HEADER_BYTES as u32 - 8).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16u32.to_le_bytes());
    bytes.extend(tag.to_le_bytes());
    bytes.extend(format.channels.to_le_bytes());
    bytes.extend(format.rate_hz.to_le_bytes());
    bytes.extend((format.rate_hz.saturating_mul(frame_bytes)).to_le_bytes());
    bytes.extend((frame_bytes as u16).to_le_bytes());
    bytes.extend((8 * format.sample.bytes() as u16).to_le_bytes());
    bytes.extend(b"data");
    bytes.extend(0u32.to_le_bytes());
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::SourceSettings;
    use crate::source;
    use std::ops::ControlFlow;

    fn format(sample: Sample) -> Format {
        Format {
            rate_hz: 8000,
            channels: 2,
            sample,
        }
    }

    fn begin(path: &Path, format: Format) -> Result<Keeper, String> {
        let report = Report::new(None, "deck", format, vec![path.to_owned()]);
        Keeper::create(path, format, &report, false)
    }

    fn left(path: &Path) -> Vec<f32> {
        let opened = source::open(path, &SourceSettings::default(), &mut |_| {
            ControlFlow::Continue(())
        })
        .unwrap();
        assert_eq!(opened.about.notes, [""; 0]);
        opened.recording.samples().into_owned()
    }

    /// hound, which did not write them, reads every encoding back.
    #[test]
    fn hound_reads_what_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        for (name, sample, frame) in [
            ("8.wav", Sample::Unsigned8, vec![192u8, 64]),
            ("16.wav", Sample::Integer16, vec![0, 64, 0, 192]),
            ("32.wav", Sample::Integer32, vec![0, 0, 0, 64, 0, 0, 0, 192]),
            (
                "f.wav",
                Sample::Float32,
                [0.5f32.to_le_bytes(), (-0.5f32).to_le_bytes()].concat(),
            ),
        ] {
            let path = folder.path().join(name);
            let mut keeper = begin(&path, format(sample)).unwrap();
            keeper.write(&frame).unwrap();
            drop(keeper);
            let mut reader = hound::WavReader::open(&path).unwrap();
            let spec = reader.spec();
            assert_eq!((spec.channels, spec.sample_rate), (2, 8000));
            let values: Vec<f32> = match spec.sample_format {
                hound::SampleFormat::Float => reader.samples().map(Result::unwrap).collect(),
                hound::SampleFormat::Int => {
                    let full = (1i64 << (spec.bits_per_sample - 1)) as f32;
                    let samples = reader.samples::<i32>();
                    samples.map(|s| s.unwrap() as f32 / full).collect()
                }
            };
            assert_eq!(values, [0.5, -0.5], "{name}");
            assert_eq!(left(&path), [0.5], "{name}");
        }
    }

    #[test]
    fn a_full_file_is_followed_by_the_next_and_no_frame_is_lost() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("tide.log.wav");
        std::fs::write(folder.path().join("tide.log-2.wav"), "not ours").unwrap();
        let format = format(Sample::Integer16);
        std::fs::write(&path, header(format)).unwrap();
        let mut keeper = Keeper::with_limit(&path, format, 42).unwrap();
        let frames: Vec<u8> = (0..25u8).flat_map(|i| [0, i, 1, 1]).collect();
        assert!(!keeper.write(&frames[..20]).unwrap());
        assert!(keeper.write(&frames[20..]).unwrap());
        let paths = keeper.paths().to_vec();
        // Ten frames in each.
        assert_eq!(keeper.begins_at_s(), [0.0, 10.0 / 8000.0, 20.0 / 8000.0]);
        drop(keeper);
        let names: Vec<_> = paths.iter().map(|p| p.file_name().unwrap()).collect();
        assert_eq!(names, ["tide.log.wav", "tide.log-3.wav", "tide.log-4.wav"]);
        let all: Vec<f32> = paths.iter().flat_map(|p| left(p)).collect();
        let expected: Vec<f32> = (0..25).map(|i| i as f32 / 128.0).collect();
        assert_eq!(all, expected);
    }

    /// hound reads what was written before and after a file was deleted, and another one was put in
    /// its place.
    #[test]
    fn a_file_that_is_deleted_is_written_again() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        let mut keeper = begin(&path, format(Sample::Integer16)).unwrap();
        let write = |keeper: &mut Keeper, value| {
            keeper.write(&[value, 0, value, 0]).unwrap();
            keeper.finish().unwrap();
            keeper.take_note()
        };
        assert_eq!(write(&mut keeper, 1), None);
        fs::remove_file(&path).unwrap();
        assert!(write(&mut keeper, 2).unwrap().contains("written again, to"));
        assert_eq!(write(&mut keeper, 3), None);
        assert_eq!(keeper.paths(), std::slice::from_ref(&path));
        fs::remove_file(&path).unwrap();
        fs::write(&path, "another").unwrap();
        assert!(write(&mut keeper, 4).is_some());
        let second = folder.path().join("a-2.wav");
        assert_eq!(keeper.paths(), std::slice::from_ref(&second));
        assert_eq!(fs::read_to_string(&path).unwrap(), "another");
        let mut reader = hound::WavReader::open(&second).unwrap();
        let samples: Vec<i16> = reader.samples().map(Result::unwrap).collect();
        assert_eq!(samples, [1, 1, 2, 2, 3, 3, 4, 4]);
    }

    #[test]
    fn a_file_that_cannot_be_written_again_is_not_kept() {
        let folder = tempfile::tempdir().unwrap();
        let inner = folder.path().join("inner");
        fs::create_dir(&inner).unwrap();
        let mut keeper = begin(&inner.join("a.wav"), format(Sample::Integer16)).unwrap();
        keeper.write(&[0; 400]).unwrap();
        assert_eq!(keeper.frames(), 100);
        fs::remove_dir_all(&inner).unwrap();
        let err = keeper.finish().unwrap_err();
        assert!(err.contains("is lost"), "{err}");
        assert_eq!((keeper.frames(), keeper.paths().len()), (0, 0));
    }

    #[test]
    fn nothing_is_written_over_unasked() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        let format = format(Sample::Integer16);
        for taken in [&path, &report_path(&path)] {
            std::fs::write(taken, "precious").unwrap();
            let err = begin(&path, format).err().unwrap();
            assert!(err.contains("is there already"), "{err}");
            assert_eq!(std::fs::read_to_string(taken).unwrap(), "precious");
            assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
            std::fs::remove_file(taken).unwrap();
        }
        std::fs::write(&path, "old").unwrap();
        let report = Report::new(None, "deck", format, vec![path.clone()]);
        drop(Keeper::create(&path, format, &report, true).unwrap());
        assert_eq!(std::fs::read(&path).unwrap(), header(format));
        let err = begin(&folder.path().join("no/a.wav"), format)
            .err()
            .unwrap();
        assert!(err.contains("no such folder"), "{err}");
    }
}
