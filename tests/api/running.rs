//! The real program as a child process, on a database file of a test.

use std::io::BufRead;
use std::io::BufReader;
use std::path::Path;
use std::path::PathBuf;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;

/// A folder that vanishes with the test.
#[derive(Debug)]
pub(crate) struct Folder(PathBuf);

impl Folder {
    pub(crate) fn new(name: &str) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR"));
        let path = path.join(format!("{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub(crate) fn database(&self) -> String {
        self.0.join("quotes.sqlite").to_str().unwrap().to_owned()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        drop(std::fs::remove_dir_all(&self.0));
    }
}

use crate::http_client;

/// The serving program.
#[derive(Debug)]
pub(crate) struct Program {
    child: Child,
    /// Where it answers.
    address: String,
}

impl Program {
    /// Where it answers.
    pub(crate) fn address(&self) -> &str {
        &self.address
    }

    /// Starts it and waits for its address.
    pub(crate) fn start(database: &str) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_rungwright"));
        command.args(["serve", "--demo", "--database", database, "--listen", "127.0.0.1:0"]);
        command.env_remove("RUST_LOG").stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = command.spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.as_mut().unwrap()).lines();
        let line = lines.next().unwrap().unwrap();
        let address = line.split("http://").nth(1).unwrap().split_whitespace().next().unwrap();
        let address = address.to_owned();
        let key = lines.map(Result::unwrap).find(|text| text.starts_with("rwkey_")).unwrap();
        http_client::remember(&address, &key);
        Self { child, address }
    }

    /// SIGKILL: the process gets no chance to tidy up.
    pub(crate) fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // Killed already on the usual way; this is for a test that failed half way.
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
