//! `read`: the characters of a recording.

use super::bench::{bench, with_bench};
use super::decode::Decoded;
use super::stretch::{self, Stretch};
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
        .arg(
            Arg::new("replace")
                .long("replace")
                .action(ArgAction::SetTrue)
                .help("Write over files that are there already"),
        )
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
    let wanted = Wanted::of(matches)?;
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
    replace: bool,
    json: bool,
    listing: bool,
}

impl<'a> Wanted<'a> {
    fn of(matches: &'a ArgMatches) -> Result<Self, Failure> {
        let path = |id| matches.get_one::<PathBuf>(id).map(PathBuf::as_path);
        let [bytes, records] = ["bytes", "records"].map(path);
        let json = matches.get_flag("json");
        let to_standard = [bytes, records].into_iter().flatten();
        let to_standard = to_standard.filter(|out| input::is_standard(out)).count();
        if usize::from(json) + to_standard > 1 {
            return Err(Failure::Usage(
                "Standard output takes only one of --json, --bytes - and --records -.".into(),
            ));
        }
        let records = match records {
            Some(out) => Some((out, output::kind(out, ["hex", "s19"])?)),
            None => None,
        };
        let files = matches.get_many::<PathBuf>("file").into_iter().flatten();
        let files: Vec<_> = files.map(PathBuf::as_path).collect();
        for file in &files {
            let outputs = ["bytes", "records"].map(|id| matches.get_one(id));
            input::refuse_overwriting(file, &outputs)?;
        }
        let wanted = Self {
            files,
            bench: bench(matches)?,
            stretch: Stretch::of(matches)?,
            bytes,
            records,
            load_address: matches.get_one("load-address").copied().unwrap_or(0),
            blocks: path("blocks"),
            replace: matches.get_flag("replace"),
            json,
            listing: !json && to_standard == 0,
        };
        wanted.check_several()?;
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
        match self.blocks {
            Some(_) => blocks::refuse_equal_names(&self.files),
            None => Ok(()),
        }
    }

    /// One recording after the other; those that cannot be read do not keep back the others.
    fn read_several(&self) -> Result<(), Failure> {
        let (mut failed, mut begun) = (0, false);
        for file in &self.files {
            let head = match (self.json, begun) {
                (true, false) => "[\n".into(),
                (true, true) => ",\n".into(),
                (false, false) => format!("{}:\n", file.display()),
                (false, true) => format!("\n{}:\n", file.display()),
            };
            match self.read(file, &head) {
                Ok(()) => begun = true,
                Err(failure) => {
                    failed += 1;
                    output::tell(&format!("pulsewright: {failure}"));
                    if self.json {
                        let entry = export::json_unread(file, &failure.to_string());
                        output::print((head + &entry).as_bytes())?;
                        begun = true;
                    }
                }
            }
        }
        if self.json {
            output::print(b"]\n")?;
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
    fn read(&self, file: &Path, head: &str) -> Result<(), Failure> {
        let decoded = Decoded::of_file(file, &self.bench)?;
        let traces = self.stretch.cut(&decoded)?;
        let reading = decoded.reading(&traces);
        self.deliver(file, &traces)?;
        let advice = decoded.advice();
        if self.json {
            let json = export::json(&reading, &advice);
            return output::print((head.to_owned() + &json).as_bytes());
        }
        if self.listing {
            let listing = export::listing(&traces.characters);
            output::print((head.to_owned() + &listing).as_bytes())?;
        }
        output::tell(&summary::of_reading(
            &reading,
            &advice,
            !self.stretch.is_all(),
        ));
        Ok(())
    }

    /// Writes the files that are asked for.
    fn deliver(&self, file: &Path, traces: &Traces) -> Result<(), Failure> {
        let values = traces.bytes();
        if let Some((out, kind)) = self.records {
            let text = match kind {
                "hex" => export::intel_hex(&values, self.load_address)?,
                _ => export::s_records(&values, self.load_address)?,
            };
            output::deliver(out, text.as_bytes())?;
        }
        if let Some(out) = self.bytes {
            output::deliver(out, &values)?;
        }
        if let Some(folder) = self.blocks {
            blocks::write(folder, file, &traces.characters, self.replace)?;
        }
        Ok(())
    }
}
