//! What loading, checking and publishing a large catalogue costs: `cargo bench --bench editions [-- PARTS...]`.
//!
//! A made-up catalogue goes out as CSV files. The program itself imports the folder, into an empty database and again
//! beside an edition in force: wall time, processor time and highest memory of that process, and how long a writer of
//! another process waits meanwhile. Then the same stages one by one in this process. Then it is published again and again
//! while two readers read; what that does to them is a ratio, because absolute figures say more about the machine. Absent
//! here: the network.
#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]
#![expect(clippy::expect_used, reason = "a bench stops at the first surprise")]

#[path = "generator.rs"]
#[expect(
    dead_code,
    unused_imports,
    clippy::wildcard_imports,
    clippy::enum_glob_use,
    reason = "shared by several benches; this one asks no questions"
)]
mod generator;
#[path = "../api/keyring.rs"]
mod keyring;

use std::collections::BTreeMap;
use std::fmt;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::process::Stdio;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::time::Duration;
use std::time::Instant;

use axum::Router;
use axum::body::Body;
use axum::body::to_bytes;
use axum::http::Request;
use rungwright::domain::access::Actor;
use rungwright::domain::review;
use rungwright::http::routes;
use rungwright::operations::App;
use rungwright::operations::Held;
use rungwright::operations::Readiness;
use rungwright::operations::desk::Desk;
use rungwright::operations::editions;
use rungwright::operations::load_edition;
use rungwright::operations::load_edition::Drafted;
use rungwright::operations::load_edition::Handed;
use rungwright::operations::load_edition::NewDraft;
use rungwright::store::Database;
use rungwright::store::catalogue_files::Upload;
use rungwright::store::load_edition as read_edition;
use tokio::task::JoinHandle;
use tower::ServiceExt;

/// Parts of the catalogues when none are named.
const PARTS_USUAL: [usize; 2] = [10_000, 100_000];
/// How long readers read without a publication, to be compared with.
const QUIET: Duration = Duration::from_secs(5);
/// Publications while they read.
const PUBLICATIONS: u32 = 4;
/// Readers at once.
const READERS: usize = 2;

fn main() {
    let named: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let sizes = if named.is_empty() { PARTS_USUAL.to_vec() } else { named };
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
    for parts in sizes {
        runtime.block_on(measure(parts));
    }
}

async fn measure(parts: usize) {
    let files = Upload::of_content(&generator::content(parts, 7)).files();
    let bytes: usize = files.values().map(Vec::len).sum();
    tell(&format!("{parts} parts, {bytes} bytes of CSV"));
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("editions-{parts}.sqlite"));
    remove(&path);
    let folder = path.with_extension("files");
    write_folder(&folder, &files);
    import_alone((&folder, &path), "into an empty database, published").await;
    import_alone((&folder, &path), "beside the edition in force, compared, published").await;
    fs::remove_dir_all(&folder).unwrap();
    remove(&path);
    let database = Database::open(path.to_str().unwrap()).await.unwrap();
    let app = App::default();
    app.open_desk(Desk::open(database.clone()));
    keyring::open(&app);
    app.advance(Readiness::Ready);

    let started = Instant::now();
    let waits = Waits::begin(database.clone());
    let number = load(&app, Handed::Files(files)).await;
    tell(&format!("  another write of the process meanwhile: {}", waits.end().await));
    let loaded = started.elapsed();
    let checking = Instant::now();
    let checked = editions::check(&app, number, &Actor::program()).await.unwrap();
    tell(&format!(
        "  load {loaded:.2?}, read, compile the rules and check {:.2?}",
        checking.elapsed()
    ));
    assert!(checked.passed, "{:?}", checked.findings.first());
    parse_alone(&database, number).await;
    editions::publish(&app, number, &Actor::program()).await.unwrap();
    publish_under_load(&app, number).await;
    database.close().await;
    remove(&path);
}

async fn load(app: &App, handed: Handed) -> u32 {
    let new = NewDraft {
        request: None,
        base: None,
        now: app.now(),
        actor: Actor::program(),
        render: |_, _| String::new(),
    };
    match load_edition::load(app, handed, new).await.expect("the made-up catalogue has no fault") {
        Drafted::Created(number, _) => Some(number),
        Drafted::Replayed(_) | Drafted::KeyReused => None,
    }
    .unwrap()
}

/// The stages behind a publication, one by one.
async fn parse_alone(database: &Database, number: u32) {
    let started = Instant::now();
    let edition = read_edition(database, number).await.unwrap();
    let read = started.elapsed();
    let compiling = Instant::now();
    let held = Held::to_look_through(edition).unwrap();
    let compiled = compiling.elapsed();
    let listing = Instant::now();
    held.lists();
    let listed = listing.elapsed();
    let reviewing = Instant::now();
    let findings = review::review(&held.catalogue, &["gb-bs7671"]);
    let count = findings.len();
    tell(&format!(
        "  read from the database {read:.2?}, compile the rules {compiled:.2?}, compile for the search {listed:.2?}, \
         look through {:.2?} ({count} findings)",
        reviewing.elapsed()
    ));
}

/// Readers alone, then readers while editions are loaded again, checked and published.
async fn publish_under_load(app: &App, number: u32) {
    let router = routes::router(app.clone());
    let quiet = read_for(&router, async { tokio::time::sleep(QUIET).await }).await;
    let content = app.snapshot().unwrap().catalogue().edition().content().clone();
    let files = Upload::of_content(&content).files();
    let busy = read_for(&router, async {
        for _ in 0..PUBLICATIONS {
            let next = load(app, Handed::Files(files.clone())).await;
            editions::check(app, next, &Actor::program()).await.unwrap();
            editions::publish(app, next, &Actor::program()).await.unwrap();
        }
    })
    .await;
    let swapped = read_for(&router, async {
        for _ in 0..PUBLICATIONS {
            let current = app.snapshot().unwrap().catalogue().edition().number();
            let other = if current == number { number.saturating_add(1) } else { number };
            editions::publish(app, other, &Actor::program()).await.unwrap();
        }
    })
    .await;
    tell(&format!("  reads alone: {}", quiet.told()));
    tell(&format!(
        "  while loading, checking, publishing: {}, p99 x {:.2}",
        busy.told(),
        busy.ratio(&quiet)
    ));
    tell(&format!(
        "  while publishing alone: {}, p99 x {:.2}",
        swapped.told(),
        swapped.ratio(&quiet)
    ));
}

/// Times of reads.
struct Times(Vec<Duration>);

impl Times {
    fn at(&self, percent: usize) -> Duration {
        let index = self.0.len().saturating_mul(percent).checked_div(100).unwrap_or_default();
        self.0.get(index.min(self.0.len().saturating_sub(1))).copied().unwrap_or_default()
    }

    fn ratio(&self, other: &Self) -> f64 {
        self.at(99).as_secs_f64() / other.at(99).as_secs_f64()
    }

    fn told(&self) -> String {
        let worst = self.0.last().copied().unwrap_or_default();
        let count = self.0.len();
        format!(
            "{count} reads, p50 {:.2?}, p99 {:.2?}, worst {worst:.2?}",
            self.at(50),
            self.at(99)
        )
    }
}

async fn read_for<F: Future<Output = ()>>(router: &Router, work: F) -> Times {
    let stop = Arc::new(AtomicBool::new(false));
    let reader = || {
        let (router, stop) = (router.clone(), Arc::clone(&stop));
        tokio::spawn(async move {
            let mut times = Vec::new();
            while !stop.load(Ordering::Relaxed) {
                let started = Instant::now();
                read(&router).await;
                times.push(started.elapsed());
                // A pause, so that the readers do not take both processors from what is measured.
                tokio::time::sleep(Duration::from_millis(2)).await;
            }
            times
        })
    };
    let readers: Vec<_> = (0..READERS).map(|_| reader()).collect();
    work.await;
    stop.store(true, Ordering::Relaxed);
    let mut times = Vec::new();
    for ended in readers {
        times.extend(ended.await.unwrap());
    }
    times.sort_unstable();
    Times(times)
}

async fn read(router: &Router) {
    let request = Request::get("/v1/bodies?limit=20&market=gb");
    let request = request.header("authorization", keyring::bearer()).body(Body::empty()).unwrap();
    let response = router.clone().oneshot(request).await.unwrap();
    assert_eq!(response.status(), 200);
    drop(to_bytes(response.into_body(), usize::MAX).await.unwrap());
}

fn write_folder(folder: &Path, files: &BTreeMap<String, Vec<u8>>) {
    drop(fs::remove_dir_all(folder));
    for (name, bytes) in files {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
}

/// The program imports a folder, and a writer of this process on the same file waits for it.
async fn import_alone((folder, path): (&Path, &Path), what: &str) {
    let started = Instant::now();
    let mut command = Command::new(env!("CARGO_BIN_EXE_rungwright"));
    let command = command.arg("import").arg(folder).arg("--publish").arg("--database").arg(path);
    let mut child = command.stdout(Stdio::null()).spawn().unwrap();
    let mut used = Used::default();
    let mut waits = None;
    while child.try_wait().unwrap().is_none() {
        used = Used::of(child.id()).unwrap_or(used);
        // The file is there once the program has opened it.
        if waits.is_none() && Duration::from_millis(300) < started.elapsed() {
            waits = Some(Waits::begin(Database::open(path.to_str().unwrap()).await.unwrap()));
        }
        tokio::time::sleep(Duration::from_millis(10)).await;
    }
    let wall = started.elapsed();
    assert!(child.wait().unwrap().success());
    tell(&format!("  import {what}: {wall:.2?}; {used}"));
    if let Some(waits) = waits {
        tell(&format!("    a write of another process meanwhile: {}", waits.end().await));
    }
}

/// What a process has used so far.
#[derive(Default)]
struct Used {
    memory: String,
    /// Hundredths of a second of processor time in the program, and in the kernel for it.
    ticks: [u64; 2],
}

impl Used {
    fn of(process: u32) -> Option<Self> {
        let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
        let highest = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
        let times = fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
        let (_, times) = times.rsplit_once(") ")?;
        let ticks: Vec<u64> =
            times.split(' ').skip(11).take(2).filter_map(|ticks| ticks.parse().ok()).collect();
        let [user, system] = ticks.try_into().ok()?;
        Some(Self { memory: highest.trim().to_owned(), ticks: [user, system] })
    }
}

impl fmt::Display for Used {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [user, system] =
            self.ticks.map(|ticks| Duration::from_millis(ticks.saturating_mul(10)));
        write!(
            f,
            "processor {user:.2?} and {system:.2?} in the kernel, highest memory {}",
            self.memory
        )
    }
}

/// How long small writes wait for the one writer while something else is written.
struct Waits {
    stop: Arc<AtomicBool>,
    writing: JoinHandle<Vec<Duration>>,
}

impl Waits {
    fn begin(database: Database) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let asked = Arc::clone(&stop);
        let writing = tokio::spawn(async move {
            let mut times = Vec::new();
            while !asked.load(Ordering::Relaxed) {
                let started = Instant::now();
                let held = database.begin_write().await;
                times.push(started.elapsed());
                held.unwrap().commit().await.unwrap();
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
            times
        });
        Self { stop, writing }
    }

    async fn end(self) -> String {
        self.stop.store(true, Ordering::Relaxed);
        let mut times = self.writing.await.unwrap();
        times.sort_unstable();
        let waits = Times(times);
        format!("p50 {:.2?}, p99 {:.2?}, longest {:.2?}", waits.at(50), waits.at(99), waits.at(100))
    }
}

fn remove(path: &Path) {
    for suffix in ["", "-wal", "-shm"] {
        drop(fs::remove_file(format!("{}{suffix}", path.display())));
    }
}

#[expect(clippy::print_stdout, reason = "a bench prints what it measured")]
fn tell(line: &str) {
    println!("{line}");
}
