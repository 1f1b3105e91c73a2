//! `read`: the characters of a recording.

use super::bench::{bench, with_bench};
use super::decode::Decoded;
use super::outputs::{self, Outputs};
use super::stretch::{self, Stretch};
use super::visible::visible;
use super::{Failure, args, blocks, input, output, summary};
use crate::export;
use crate::settings::{Bench, Knob};
use crate::signal::Traces;
use clap::{Arg, ArgAction, ArgMatches, Command};
use std::path::{Path, PathBuf};

pub(super) fn command() -> Command {
    let command = Command::new("read")
        .about("List the characters of a recording")
        .arg(args::files())
        .args(Stretch::args_of_reading())
        .arg(
            args::named("bytes", "OUT", "Write the bytes of all characters to a file, those with faults too; - is standard output, in place of the listing"),
        )
        .arg(
            args::named("records", "OUT", "Write the same bytes as text records: .hex for Intel hexadecimal, .s19 for S-records; - is .hex on standard output"),
        )
        .arg(
            Arg::new("load-address")
                .long("load-address")
                .value_name("ADDRESS")
                .requires("records")
                .value_parser(export::parse_address)
                .help("Address of the first byte in the text records, 0 by default: 0x0280, $0280 or 640"),
        )
        .arg(
            args::named("blocks", "DIR", "Write the bytes of each block to a file of its own in this folder: NAME-01.bin, NAME-02.bin ...")
                .value_hint(clap::ValueHint::DirPath),
        )
        .arg(outputs::replace())
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("Print everything as JSON, in place of listing and summary; of several recordings, as a list"),
        )
        .after_help(format!(
            "Listing: the time at which a row begins, its characters in hexadecimal, and as text.\n\
             After a character stands ! for a framing error, ? for a parity error, _ for a break.\n\
             A row ends at sixteen characters or at a pause. The summary goes to standard error.\n\
             A block ends at a pause longer than three characters.\n\
             Of several recordings, each is listed under its name.\n\
             The exit code is 0 when every file was read, whatever faults its characters have.\n\n\
             {}\n\
             The level and the hints are about the whole recording.",
            stretch::HELP
        ));
    with_bench(command, Knob::shapes_a_reading)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let mut wanted = Wanted::of(matches)?;
    match wanted.files[..] {
        [file] => wanted.read(file, ""),
        _ => wanted.read_several(),
    }
}

/// What the command line asks for.
struct Wanted<'a> {
    files: Vec<&'a Path>,
    bench: Bench,
    stretch: Stretch,
    bytes: Option<&'a Path>,
    records: Option<(&'a Path, &'static str)>,
    load_address: u32,
    blocks: Option<&'a Path>,
    json: bool,
    outputs: Outputs<'a>,
}

impl<'a> Wanted<'a> {
    fn of(matches: &'a ArgMatches) -> Result<Self, Failure> {
        let path = |id| matches.get_one::<PathBuf>(id).map(PathBuf::as_path);
        let [bytes, records] = ["bytes", "records"].map(path);
        let json = matches.get_flag("json");
        let records = match records {
            Some(out) => Some((out, output::kind(out, ["hex", "s19"])?)),
            None => None,
        };
        let files = matches.get_many::<PathBuf>("file").into_iter().flatten();
        let mut outputs = Outputs::of(matches)?;
        if json {
            outputs.prints("--json")?;
        }
        outputs.writes_given("bytes")?;
        outputs.writes_given("records")?;
        let wanted = Self {
            files: files.map(PathBuf::as_path).collect(),
            bench: bench(matches)?,
            stretch: Stretch::of(matches)?,
            bytes,
            records,
            load_address: matches.get_one("load-address").copied().unwrap_or(0),
            blocks: path("blocks"),
            json,
            outputs,
        };
        wanted.check_several()?;
        wanted.check_blocks()?;
        Ok(wanted)
    }

    /// Refuses what several recordings cannot share.
    fn check_several(&self) -> Result<(), Failure> {
        if self.files.iter().filter(|f| input::is_standard(f)).count() > 1 {
            return Err(Failure::Usage(
                "Standard input can be read only once: give - only once.".into(),
            ));
        }
        if self.files.len() > 1 && (self.bytes.is_some() || self.records.is_some()) {
            return Err(Failure::Usage(
                "--bytes and --records hold one recording: name one, or give --blocks DIR.".into(),
            ));
        }
        Ok(())
    }

    /// Refuses a folder that cannot take the blocks.
    fn check_blocks(&self) -> Result<(), Failure> {
        let Some(folder) = self.blocks else {
            return Ok(());
        };
        blocks::refuse_equal_names(&self.files)?;
        match self.outputs.may_replace() {
            true => Ok(()),
            false => blocks::refuse_old_blocks(folder, &self.files),
        }
    }

    /// One recording after the other; those that cannot be read do not keep back the others.
    fn read_several(&mut self) -> Result<(), Failure> {
        let (mut failed, mut begun) = (0, false);
        for file in self.files.clone() {
            let name = file.to_string_lossy();
            let name = visible(&name);
            let head = match (self.json, begun) {
                (true, false) => "[\n".into(),
                (true, true) => ",\n".into(),
                (false, false) => format!("{name}:\n"),
                (false, true) => format!("\n{name}:\n"),
            };
            match self.read(file, &head) {
                Ok(()) => begun = true,
                Err(failure) => {
                    failed += 1;
                    output::tell(&format!("pulsewright: {failure}"));
                    if self.json {
                        let entry = export::json_unread(file, &failure.to_string());
                        output::print(&(head + &entry))?;
                        begun = true;
                    }
                }
            }
        }
        if self.json {
            output::print("]\n")?;
        }
        match failed {
            0 => Ok(()),
            _ => Err(Failure::Failed(format!(
                "{failed} of {} recordings failed, for the reasons above.",
                self.files.len()
            ))),
        }
    }

    /// Reads one recording; on standard output, `head` comes before what is said of it.
    fn read(&mut self, file: &Path, head: &str) -> Result<(), Failure> {
        let decoded = Decoded::of_file(file, &self.bench)?;
        let traces = self.stretch.cut(&decoded)?;
        let reading = decoded.reading(&traces);
        self.deliver(file, &traces)?;
        let advice = decoded.advice();
        if self.json {
            let json = export::json(&reading, &advice);
            return output::print(&(head.to_owned() + &json));
        }
        if !self.outputs.is_standard_output_taken() {
            let listing = export::listing(&traces.characters);
            output::print(&(head.to_owned() + &listing))?;
        }
        output::tell_all(&summary::of_reading(
            &reading,
            &advice,
            !self.stretch.is_all(),
        ));
        Ok(())
    }

    /// Writes the files that are asked for.
    fn deliver(&mut self, file: &Path, traces: &Traces) -> Result<(), Failure> {
        let values = traces.bytes();
        let records = match self.records {
            Some((out, "hex")) => Some((out, export::intel_hex(&values, self.load_address)?)),
            Some((out, _)) => Some((out, export::s_records(&values, self.load_address)?)),
            None => None,
        };
        let folder = self.blocks.map(blocks::Folder::make).transpose()?;
        let blocks = self
            .blocks
            .map(|to| blocks::files(to, file, &traces.characters));
        let blocks = blocks.unwrap_or_default();
        for (path, _) in &blocks {
            self.outputs.writes("blocks", path)?;
        }
        let bytes = self.bytes.map(|out| (out, &values[..]));
        let records = records.as_ref().map(|(out, text)| (*out, text.as_bytes()));
        let parts = blocks
            .iter()
            .map(|(path, bytes)| (path.as_path(), &bytes[..]));
        let results: Vec<_> = parts.chain(bytes).chain(records).collect();
        self.outputs.save(&results)?;
        drop(folder);
        blocks::tell(&blocks);
        Ok(())
    }
}
