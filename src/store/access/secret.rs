//! The server's secret, with which keys are hashed: 32 bytes, in a file beside the database and not in it.
//!
//! Whoever has only a copy of the database cannot test a key against it. Whoever loses the secret loses every key: they
//! are then made anew.

use std::fmt;
use std::fs;
use std::fs::File;
use std::fs::OpenOptions;
use std::io;
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

use thiserror::Error;

/// Length in bytes: what BLAKE3 takes as a key.
const LENGTH: usize = 32;
/// Only the owner reads it.
const MODE: u32 = 0o600;

/// The secret. It is never shown, not even to a debugger's print.
#[derive(Clone)]
pub struct KeySecret([u8; LENGTH]);

/// Why there is no secret.
#[derive(Debug, Error)]
pub enum SecretError {
    /// The operating system has no randomness to give.
    #[error("the operating system gives no random bytes")]
    Random(#[from] getrandom::Error),
    /// The file cannot be read or written.
    #[error("the file {path} with the secret of the keys cannot be read or written")]
    File {
        /// Its path.
        path: Box<str>,
        /// What went wrong.
        #[source]
        source: io::Error,
    },
    /// The file holds something else.
    #[error("the file {0} does not hold a secret of the keys: 64 hexadecimal digits")]
    Form(Box<str>),
}

impl fmt::Debug for KeySecret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("KeySecret(..)")
    }
}

impl KeySecret {
    /// A new secret that is kept nowhere: for databases in memory and for tests.
    pub fn random() -> Result<Self, SecretError> {
        let mut bytes = [0; LENGTH];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes))
    }

    /// The secret in a file; where there is none yet, a new one is made and the file with it, readable by its owner only.
    pub fn load_or_make(path: &Path) -> Result<Self, SecretError> {
        let place: Box<str> = path.display().to_string().into();
        let failed = |source| SecretError::File { path: place.clone(), source };
        match fs::read_to_string(path) {
            Ok(text) => Self::parse(&text).ok_or(SecretError::Form(place)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                let made = Self::random()?;
                match made.save(path) {
                    // Another process was quicker: its secret holds.
                    Err(taken) if taken.kind() == io::ErrorKind::AlreadyExists => {
                        Self::load_or_make(path)
                    }
                    saved => saved.map(|()| made).map_err(failed),
                }
            }
            Err(error) => Err(failed(error)),
        }
    }

    /// Written whole under another name first: whoever reads the name finds all of it or nothing.
    fn save(&self, path: &Path) -> io::Result<()> {
        let mut name = path.as_os_str().to_owned();
        name.push(format!(".{}", std::process::id()));
        let whole = Path::new(&name);
        let written = create(whole).and_then(|mut file| {
            file.write_all(self.hex().as_bytes())?;
            file.sync_all()
        });
        let linked = written.and_then(|()| fs::hard_link(whole, path));
        fs::remove_file(whole)?;
        linked
    }

    fn hex(&self) -> String {
        let mut text = blake3::Hash::from_bytes(self.0).to_hex().to_string();
        text.push('\n');
        text
    }

    fn parse(text: &str) -> Option<Self> {
        blake3::Hash::from_hex(text.trim_end()).ok().map(|hash| Self(*hash.as_bytes()))
    }

    /// The keyed hash of a text. Two hashes are compared in constant time, which is how BLAKE3 compares them.
    pub(super) fn hash(&self, text: &str) -> blake3::Hash {
        blake3::keyed_hash(&self.0, text.as_bytes())
    }
}

fn create(path: &Path) -> io::Result<File> {
    OpenOptions::new().write(true).create_new(true).mode(MODE).open(path)
}
