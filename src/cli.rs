//! The command line: what the program is asked to do, its output, its exit code.
//!
//! Output goes to stdout, logs and errors to stderr; an error is one sentence with its cause. Exit codes: 0 done,
//! 1 failed, 2 wrongly asked. Absent here: everything the subcommands do, beyond calling it.

use clap::Parser;
use clap::Subcommand;
use clap::ValueEnum;
use std::error::Error;
use std::io;
use std::io::Write;
use std::panic;
use std::process::ExitCode;
use thiserror::Error as ThisError;
use tracing_subscriber::EnvFilter;

use crate::http::limits::Limits;
use crate::http::routes;
use crate::http::server;
use crate::http::server::Server;
use crate::operations::App;
use crate::operations::Readiness;

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
    #[command(about = "Prints the OpenAPI description of the HTTP interface")]
    Openapi,
}

/// How to serve.
#[derive(Debug, clap::Args)]
struct Serve {
    /// Address and port; port 0 takes any free one.
    #[arg(long, env = "RUNGWRIGHT_LISTEN", default_value = "127.0.0.1:8080")]
    listen: String,
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

/// Why a subcommand could not do what it was asked.
#[derive(Debug, ThisError)]
enum Failure {
    #[error("could not listen on {address}")]
    Listen { address: String, source: io::Error },
    #[error("could not start the runtime")]
    Start(#[source] io::Error),
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
        Command::Openapi => print_description(),
    }
}

fn serve(options: &Serve) -> Result<(), Failure> {
    start_log(options.log_format);
    let mut runtime = tokio::runtime::Builder::new_multi_thread();
    runtime.enable_all().build().map_err(Failure::Start)?.block_on(serve_until_stopped(options))
}

async fn serve_until_stopped(options: &Serve) -> Result<(), Failure> {
    let stop = server::stop_signal().map_err(Failure::Start)?;
    let refused = |source| Failure::Listen { address: options.listen.clone(), source };
    let listener = server::listen(&options.listen).await.map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    let app = App::default();
    let server =
        Server { router: routes::router(app.clone()), app: app.clone(), limits: Limits::default() };
    app.advance(Readiness::Ready);
    print(&format!("Rungwright answers on http://{address} (description: /docs)\n"))?;
    server.serve(listener, stop).await;
    tracing::info!("shut down");
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
        sentence = format!("{sentence}: {error}");
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
