//! The command line: what the program is asked to do, its output, its exit code.
//!
//! Output goes to stdout, logs and errors to stderr; an error is one sentence with its cause. Exit codes: 0 done,
//! 1 failed, 2 wrongly asked. Absent here: everything the subcommands do, beyond calling it.

mod bill;
mod healthcheck;
mod welcome;
mod keys;
mod audit;
mod import;
mod export;

use clap::Parser;
use clap::Subcommand;
use clap::ValueEnum;
use ipnet::IpNet;
use std::error::Error;
use std::io;
use std::io::Read;
use std::io::Write;
use std::net::IpAddr;
use std::panic;
use std::path::Path;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use thiserror::Error as ThisError;
use tracing_subscriber::EnvFilter;

use crate::http::access::client::Proxies;
use crate::http::access::client::ProxyField;
use crate::http::json::Draft;
use crate::http::limits::Limits;
use crate::http::resolutions;
use crate::http::resolutions::NewResolution;
use crate::http::routes;
use crate::http::server;
use crate::http::server::Server;
use crate::operations::App;
use crate::operations::Readiness;
use crate::operations::Snapshot;
use crate::operations::access::Access;
use crate::operations::access::KeyFailure;
use crate::operations::access::SecretError;
use crate::operations::access::Token;
use crate::operations::audit::audit_head;
use crate::operations::clock::Clock;
use crate::operations::desk::Desk;
use crate::operations::follow::keep_in_force;
use crate::operations::start;
use crate::operations::start::StartError;
use crate::store::Database;
use crate::store::StoreError;

/// From a bathroom to a complete, priced electric towel rail.
#[derive(Debug, Parser)]
#[command(version, about)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Answers HTTP requests until SIGTERM or SIGINT.
    Serve(Serve),
    /// Resolves a request from a file and prints the bills.
    Resolve(Resolve),
    /// Loads a catalogue as a draft, checks it, says what it changes, and publishes it if asked.
    Import(import::Import),
    /// Writes an edition as files that can be imported again.
    Export(export::Export),
    #[command(about = "Prints the OpenAPI description of the HTTP interface")]
    Openapi,
    /// Makes, lists, rotates and revokes keys.
    Keys(keys::Keys),
    /// Verifies or exports the audit trail.
    Audit(audit::Audit),
    /// Asks a running service whether it is ready; exit code 0 when it is.
    Healthcheck(Healthcheck),
}

/// Whom to ask.
#[derive(Debug, clap::Args)]
struct Healthcheck {
    /// Address and port of the service.
    #[arg(long, env = "RUNGWRIGHT_HEALTHCHECK", default_value = "127.0.0.1:8080")]
    address: String,
}

/// How to resolve.
#[derive(Debug, clap::Args)]
struct Resolve {
    /// A request as for POST /v1/resolutions; - reads standard input.
    file: PathBuf,
    /// Prints the answer of the HTTP interface instead of a bill to read.
    #[arg(long)]
    json: bool,
    /// Database whose published edition answers; the demonstration catalogue in memory when left out.
    #[arg(long, env = "RUNGWRIGHT_DATABASE")]
    database: Option<String>,
}

/// How to serve.
#[derive(Debug, clap::Args)]
struct Serve {
    /// Loads the demonstration catalogue into a database that has no published edition.
    #[arg(long)]
    demo: bool,
    /// Database file.
    #[arg(long, env = "RUNGWRIGHT_DATABASE", default_value = "rungwright.sqlite")]
    database: String,
    /// Address and port; port 0 takes any free one.
    #[arg(long, env = "RUNGWRIGHT_LISTEN", default_value = "127.0.0.1:8080")]
    listen: String,
    /// File with the secret that keys are hashed with; beside the database when left out, made when there is none.
    #[arg(long, env = "RUNGWRIGHT_KEY_SECRET_FILE")]
    key_secret_file: Option<PathBuf>,
    /// Address or network of a proxy whose word for the client's address is taken, such as 10.0.0.0/8; may be repeated.
    #[arg(long = "trusted-proxy", value_name = "NETWORK", value_parser = network)]
    trusted_proxies: Vec<IpNet>,
    /// The one header field in which trusted proxies name the client.
    #[arg(long, default_value = "x-forwarded-for")]
    proxy_field: ProxyHeader,
    /// Form of the log lines.
    #[arg(long, env = "RUNGWRIGHT_LOG_FORMAT", default_value = "text")]
    log_format: LogFormat,
}

/// Form of the log lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum LogFormat {
    /// For people.
    Text,
    /// One JSON object a line.
    Json,
}

/// The header field in which trusted proxies name the client.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum ProxyHeader {
    /// Addresses parted by commas.
    XForwardedFor,
    /// RFC 7239.
    Forwarded,
}

/// Why a subcommand could not do what it was asked.
#[derive(Debug, ThisError)]
enum Failure {
    #[error("could not listen on {address}")]
    Listen { address: String, source: io::Error },
    #[error("could not start the runtime")]
    Start(#[source] io::Error),
    #[error("could not load a catalogue")]
    Load(#[from] StartError),
    #[error(transparent)]
    Open(#[from] StoreError),
    #[error("could not read the request in {file}")]
    Read { file: String, source: io::Error },
    #[error("the request in {file} was refused: {text}")]
    Refused { file: String, text: String },
    #[error("the service at {address} is not ready")]
    NotReady { address: String, source: io::Error },
    #[error(transparent)]
    Secret(#[from] SecretError),
    #[error("the keys could not be changed")]
    Keys(#[from] KeyFailure),
    #[error("no such key can be made: {0}")]
    Grant(String),
    #[error("there is no key {0}")]
    NoKey(String),
    #[error("{0}")]
    KeyStands(String),
    #[error("the audit trail does not hold together: {0}")]
    Trail(String),
    #[error("the import failed")]
    Import(#[from] import::ImportError),
    #[error("the export failed")]
    Export(#[from] export::ExportError),
    #[error("could not write the answer as JSON")]
    Answer(#[source] serde_json::Error),
    #[error("could not write the output")]
    Write(#[source] io::Error),
    #[error("could not write the description as JSON")]
    Describe(#[source] serde_json::Error),
}

/// Does what the process's arguments ask for.
pub fn run() -> ExitCode {
    match execute(Arguments::parse().command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            report(&failure);
            ExitCode::FAILURE
        }
    }
}

fn execute(command: Command) -> Result<(), Failure> {
    match command {
        Command::Serve(options) => serve(&options),
        Command::Resolve(options) => resolve(&options),
        Command::Import(options) => Ok(runtime()?.block_on(import::import(&options))?),
        Command::Export(options) => Ok(runtime()?.block_on(export::export(&options))?),
        Command::Openapi => print_description(),
        Command::Keys(options) => runtime()?.block_on(keys::run(&options)),
        Command::Audit(options) => runtime()?.block_on(audit::run(&options)),
        Command::Healthcheck(Healthcheck { address }) => healthcheck::check_ready(&address)
            .map_err(|source| Failure::NotReady { address, source }),
    }
}

fn serve(options: &Serve) -> Result<(), Failure> {
    start_log(options.log_format);
    runtime()?.block_on(serve_until_stopped(options))
}

fn runtime() -> Result<tokio::runtime::Runtime, Failure> {
    tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(Failure::Start)
}

fn resolve(options: &Resolve) -> Result<(), Failure> {
    let file = options.file.display().to_string();
    let bytes =
        read(&options.file).map_err(|source| Failure::Read { file: file.clone(), source })?;
    let held = match &options.database {
        None => start::demo()?,
        Some(address) => runtime()?.block_on(async {
            let database = Database::open(address).await?;
            let held = start::load(&database, false).await?;
            database.close().await;
            Ok::<_, Failure>(held)
        })?,
    };
    let snapshot = Snapshot::of(held, Clock::System.today());
    let answer = Draft::<NewResolution>::parse(&bytes)
        .and_then(|order| resolutions::resolve(&snapshot, order))
        .map_err(|problem| Failure::Refused { file, text: bill::refusal(&problem) })?;
    if options.json {
        // Texts that are kept as JSON are laid out like all else only after they were read.
        let answer = serde_json::to_value(&answer).map_err(Failure::Answer)?;
        let mut text = serde_json::to_string_pretty(&answer).map_err(Failure::Answer)?;
        text.push('\n');
        return print(&text);
    }
    print(&bill::readable(&answer))
}

fn read(file: &Path) -> io::Result<Vec<u8>> {
    if file == Path::new("-") {
        let mut bytes = Vec::new();
        io::stdin().lock().read_to_end(&mut bytes)?;
        return Ok(bytes);
    }
    std::fs::read(file)
}

async fn serve_until_stopped(options: &Serve) -> Result<(), Failure> {
    let stop = server::stop_signal().map_err(Failure::Start)?;
    let refused = |source| Failure::Listen { address: options.listen.clone(), source };
    let listener = server::listen(&options.listen).await.map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    let database = Database::open(&options.database).await?;
    let app = App::default();
    app.hold(start::load(&database, options.demo).await?);
    app.open_desk(Desk::open_alone(database.clone(), &options.database)?);
    let secret = keys::secret(&options.database, options.key_secret_file.as_deref())?;
    let mut access = Access::open(database.clone(), secret).await?;
    let mut demo_key = None;
    if options.demo {
        let token = Token::passing()?;
        access = access.open_to_this_machine();
        access.lend(&token, start::demo_grant());
        demo_key = Some(token);
    }
    app.open_access(access.clone());
    drop(tokio::spawn(access.clone().keep_fresh()));
    drop(tokio::spawn(keep_in_force(app.clone())));
    app.advance(Readiness::Ready);
    log_trail("started", &database).await?;
    let (address, database_name) = (address.to_string(), options.database.as_str());
    let has_keys = !access.records().is_empty();
    print(&welcome::text((&address, database_name), demo_key.as_ref(), has_keys))?;
    let (router, proxies) = (routes::router(app.clone()), Arc::new(options.proxies()));
    Server { router, app, limits: Limits::default(), proxies }.serve(listener, stop).await;
    access.note_uses().await;
    log_trail("shut down", &database).await?;
    database.close().await;
    Ok(())
}

impl Serve {
    fn proxies(&self) -> Proxies {
        let field = match self.proxy_field {
            ProxyHeader::XForwardedFor => ProxyField::XForwardedFor,
            ProxyHeader::Forwarded => ProxyField::Forwarded,
        };
        Proxies { networks: self.trusted_proxies.clone(), field }
    }
}

/// A network, or a single address as a network of one.
fn network(text: &str) -> Result<IpNet, String> {
    let single = text.parse::<IpAddr>().map(IpNet::from);
    single
        .or_else(|_one| text.parse())
        .map_err(|_none| format!("{text} is no address and no network"))
}

/// Logs the end of the audit trail: logs that are kept elsewhere show later whether the trail was cut.
async fn log_trail(moment: &'static str, database: &Database) -> Result<(), Failure> {
    let head = audit_head(database).await?;
    tracing::info!(audit_head = %head, "{moment}");
    Ok(())
}

fn print_description() -> Result<(), Failure> {
    let mut text =
        serde_json::to_string_pretty(&routes::description()).map_err(Failure::Describe)?;
    text.push('\n');
    print(&text)
}

fn print(text: &str) -> Result<(), Failure> {
    let mut output = io::stdout().lock();
    output.write_all(text.as_bytes()).and_then(|()| output.flush()).map_err(Failure::Write)
}

/// One sentence: what could not be done, and each cause after a colon.
fn report(failure: &Failure) {
    let mut sentence = format!("rungwright: {failure}");
    let mut cause = failure.source();
    while let Some(error) = cause {
        let text = error.to_string();
        // Some libraries quote the cause in the error that it caused; once is enough.
        if !sentence.ends_with(&text) {
            sentence = format!("{sentence}: {text}");
        }
        cause = error.source();
    }
    // With stderr gone there is nobody left to tell; the exit code still does.
    writeln!(io::stderr(), "{sentence}").unwrap_or_default();
}

/// Logs to stderr from `info` on, or as `RUST_LOG` says; panics too, in the same form.
fn start_log(format: LogFormat) {
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("info"));
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr);
    match format {
        LogFormat::Text => log.init(),
        LogFormat::Json => log.json().flatten_event(true).with_current_span(true).init(),
    }
    panic::set_hook(Box::new(|what| tracing::error!(panic = %what, "a task panicked")));
}
