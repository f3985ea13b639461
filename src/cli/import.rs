//! `import`: a folder, an archive or a document into a draft, checked, compared and, if asked, published.
//!
//! What is printed is a summary; the report of faults can be written as a table. Absent here: reading the forms.

use std::collections::BTreeMap;
use std::io;
use std::io::IsTerminal;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

use indicatif::ProgressBar;
use indicatif::ProgressDrawTarget;
use indicatif::ProgressStyle;
use thiserror::Error;

use crate::domain::access::Actor;
use crate::http::editions::rendered;
use crate::http::fault_report;
use crate::http::fault_report::FaultView;
use crate::http::sample_answers;
use crate::operations::App;
use crate::operations::compare_editions;
use crate::operations::compare_editions::EditionComparison;
use crate::operations::compare_editions::SampleAnswer;
use crate::operations::compare_editions::SampleFate;
use crate::operations::desk::Desk;
use crate::operations::editions;
use crate::operations::editions::CheckedEdition;
use crate::operations::editions::EditionError;
use crate::operations::load_edition;
use crate::operations::load_edition::Drafted;
use crate::operations::load_edition::FileFault;
use crate::operations::load_edition::Handed;
use crate::operations::load_edition::LoadError;
use crate::operations::load_edition::NewDraft;
use crate::operations::start;
use crate::operations::start::StartError;
use crate::store::Database;
use crate::store::StoreError;

/// Bytes of an archive or document at most: what is read into memory at once.
const BYTES_MAX: u64 = 512 * 1024 * 1024;

/// Faults that are printed; the report has them all.
const FAULTS_PRINTED_MAX: usize = 20;

/// What to load, and into which database.
#[derive(Debug, clap::Args)]
pub(super) struct Import {
    /// A folder of CSV files, a ZIP archive of them, or a JSON document; - reads an archive or a document from standard
    /// input.
    path: PathBuf,
    /// Database file.
    #[arg(long, env = "RUNGWRIGHT_DATABASE", default_value = "rungwright.sqlite")]
    database: String,
    /// Takes the files for changes to the edition of this number.
    #[arg(long)]
    base: Option<u32>,
    /// Publishes the edition when its checks find no error. A service that runs on the database looks once a second and
    /// answers from it as soon as it is compiled.
    #[arg(long)]
    publish: bool,
    /// Writes every fault as a CSV table to this file.
    #[arg(long)]
    report: Option<PathBuf>,
    /// Who loads it, for the record.
    #[arg(long, default_value = "command line")]
    by: String,
}

/// Why an import came to nothing.
#[derive(Debug, Error)]
pub(super) enum ImportError {
    #[error("could not read {0}")]
    Read(String, #[source] io::Error),
    #[error("{0} is no folder, no ZIP archive and no JSON document")]
    Form(String),
    #[error("could not open the database")]
    Open(#[from] StoreError),
    #[error("could not load the edition in force")]
    Start(#[from] StartError),
    #[error("could not load the catalogue")]
    Load(#[from] LoadError),
    #[error("could not work on the edition")]
    Edition(#[from] EditionError),
    #[error("could not write the report")]
    Report(#[source] io::Error),
    #[error("could not write the output")]
    Write(#[source] io::Error),
    #[error("nothing was loaded, because the catalogue has {0} faults")]
    Faults(usize),
    #[error("edition {0} is not published, because its checks found errors")]
    NotPassed(u32),
}

/// Does it.
pub(super) async fn import(options: &Import) -> Result<(), ImportError> {
    let bar = Stages::new(options.publish);
    bar.begin("reading");
    let handed = handed(&options.path)?;
    let database = Database::open(&options.database).await?;
    let app = App::default();
    match start::load(&database, false).await {
        Ok(held) => app.hold(held),
        Err(StartError::Empty) => {}
        Err(error) => return Err(error.into()),
    }
    app.open_desk(Desk::open(database.clone()));
    let done = on(&app, handed, (options, &bar)).await;
    bar.end();
    database.close().await;
    done
}

/// Who imports, for the record: somebody with a shell on the machine, under the name they give.
fn by(options: &Import) -> Actor {
    Actor { name: options.by.as_str().into(), ..Actor::command_line() }
}

async fn on(
    app: &App,
    handed: Handed,
    (options, bar): (&Import, &Stages),
) -> Result<(), ImportError> {
    bar.begin("loading");
    let new = NewDraft {
        request: None,
        base: options.base,
        now: app.now(),
        actor: by(options),
        render: rendered,
    };
    let number = match load_edition::load(app, handed, new).await {
        Ok(Drafted::Created(number, _)) => number,
        Ok(Drafted::Replayed(_) | Drafted::KeyReused) => return Ok(()),
        Err(LoadError::Faults(faults)) => {
            bar.end();
            return Err(tell_faults(&faults, options.report.as_deref())?);
        }
        Err(error) => return Err(error.into()),
    };
    bar.begin("checking");
    let checked = editions::check(app, number, &by(options)).await?;
    let mut told = findings(&checked);
    if let Some(current) = app.snapshot().map(|held| held.catalogue().edition().number()) {
        bar.begin("comparing");
        let compared = compare_editions::compare(app, (current, number), sample_answers::answer);
        told.extend(consequence(current, &compared.await?));
    }
    if options.publish && checked.passed {
        bar.begin("publishing");
        editions::publish(app, number, &by(options)).await?;
        told.push(format!("Edition {number} is published."));
    }
    bar.end();
    let mut output = io::stdout().lock();
    let text = told.join("\n");
    writeln!(output, "{text}").and_then(|()| output.flush()).map_err(ImportError::Write)?;
    if options.publish && !checked.passed {
        return Err(ImportError::NotPassed(number));
    }
    Ok(())
}

fn tell_faults(faults: &[FileFault], report: Option<&Path>) -> Result<ImportError, ImportError> {
    let views: Vec<FaultView> = faults.iter().map(FaultView::from).collect();
    if let Some(file) = report {
        std::fs::write(file, fault_report::table(&views)).map_err(ImportError::Report)?;
    }
    let mut errors = io::stderr().lock();
    for fault in faults.iter().take(FAULTS_PRINTED_MAX) {
        // With stderr gone there is nobody left to tell; the exit code and the report still do.
        writeln!(errors, "{fault}").unwrap_or_default();
    }
    if FAULTS_PRINTED_MAX < faults.len() {
        writeln!(errors, "and {} more", faults.len().saturating_sub(FAULTS_PRINTED_MAX))
            .unwrap_or_default();
    }
    Ok(ImportError::Faults(faults.len()))
}

fn findings(checked: &CheckedEdition) -> Vec<String> {
    let number = checked.record.number;
    let mut told = vec![format!("Edition {number} is loaded ({}).", checked.record.content_hash)];
    for finding in &checked.findings {
        let first = finding.examples.first();
        let example = first.map(|case| format!(" First: {} ({}).", case.subject, case.detail));
        told.push(format!(
            "{} {} ({}): {}{}",
            finding.severity.word(),
            finding.code,
            finding.count,
            finding.sentence,
            example.unwrap_or_default()
        ));
    }
    let word = if checked.passed { "passed" } else { "not passed" };
    told.push(format!("Checks: {word}."));
    told
}

fn consequence(current: u32, compared: &EditionComparison) -> Vec<String> {
    let mut told = vec![format!("Against edition {current}:")];
    for file in &compared.files {
        told.push(format!(
            "  {}: {} added, {} removed, {} changed",
            file.file, file.added, file.removed, file.changed
        ));
    }
    let pairs = &compared.pairs;
    told.push(format!(
        "  pairs of body and element: {} newly fit, {} no longer fit ({} bodies)",
        pairs.gained, pairs.lost, pairs.bodies_changed
    ));
    for sample in compared.samples.iter().filter(|sample| sample.fate != SampleFate::Same) {
        let price =
            |answer: &SampleAnswer| answer.gross.clone().unwrap_or_else(|| "no bill".to_owned());
        let (before, after) = (price(&sample.before), price(&sample.after));
        told.push(format!("  sample {}: {}, {before} -> {after}", sample.name, sample.fate.word()));
    }
    told
}

fn handed(path: &Path) -> Result<Handed, ImportError> {
    let shown = path.display().to_string();
    let unread = |error| ImportError::Read(shown.clone(), error);
    if path == Path::new("-") {
        return form(read_up_to(io::stdin().lock()).map_err(unread)?)
            .ok_or(ImportError::Form(shown));
    }
    if path.is_dir() {
        return Ok(Handed::Files(folder(path).map_err(unread)?));
    }
    let file = std::fs::File::open(path).map_err(unread)?;
    form(read_up_to(file).map_err(unread)?).ok_or(ImportError::Form(shown))
}

fn read_up_to<R: Read>(reader: R) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader.take(BYTES_MAX.saturating_add(1)).read_to_end(&mut bytes)?;
    if BYTES_MAX < u64::try_from(bytes.len()).unwrap_or(u64::MAX) {
        return Err(io::Error::other(format!("it is larger than {BYTES_MAX} bytes")));
    }
    Ok(bytes)
}

/// An archive begins with PK, a document with a brace.
fn form(bytes: Vec<u8>) -> Option<Handed> {
    let first = bytes.iter().find(|byte| !byte.is_ascii_whitespace())?;
    if *first == b'P' {
        return Some(Handed::Zip(bytes));
    }
    (*first == b'{').then_some(Handed::Json(bytes))
}

/// Files by name.
type Files = BTreeMap<String, Vec<u8>>;

/// The files of a folder, and of the folders of documents in it. Hidden files are passed over.
fn folder(path: &Path) -> io::Result<Files> {
    let mut files = BTreeMap::new();
    for entry in std::fs::read_dir(path)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        if entry.path().is_dir() {
            for document in std::fs::read_dir(entry.path())? {
                let document = document?;
                let inner = document.file_name().to_string_lossy().into_owned();
                files.insert(format!("{name}/{inner}"), std::fs::read(document.path())?);
            }
        } else {
            files.insert(name, std::fs::read(entry.path())?);
        }
    }
    Ok(files)
}

/// A bar of stages on stderr, where somebody is looking.
struct Stages(ProgressBar);

impl Stages {
    fn new(publishes: bool) -> Self {
        let count = if publishes { 5 } else { 4 };
        let target = if io::stderr().is_terminal() {
            ProgressDrawTarget::stderr()
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(Some(count), target);
        let style = ProgressStyle::with_template("{bar:24} {pos}/{len} {msg} {elapsed}");
        if let Ok(style) = style {
            bar.set_style(style);
        }
        bar.enable_steady_tick(std::time::Duration::from_millis(200));
        Self(bar)
    }

    fn begin(&self, stage: &'static str) {
        self.0.set_message(stage);
        self.0.inc(1);
    }

    fn end(&self) {
        self.0.finish_and_clear();
    }
}
