//! A finding, gathered case by case.

/// Cases of one finding that are listed; the count goes on.
pub const EXAMPLES_MAX: usize = 100;

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Wrong: the edition is not published with it.
    Error,
    /// Probably a slip: somebody should look.
    Warning,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word for it in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// One case of a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Example {
    /// Part number, rule, market or list.
    pub subject: Box<str>,
    /// What is the matter with it.
    pub detail: String,
}

/// Something that strikes the eye, with its cases.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Stable code.
    pub code: &'static str,
    /// How grave it is.
    pub severity: Severity,
    /// What it is, in a sentence.
    pub sentence: &'static str,
    /// What to do about it.
    pub suggestion: &'static str,
    /// Cases in all.
    pub count: usize,
    /// The first cases.
    pub examples: Vec<Example>,
}

impl Finding {
    /// A finding that must not be.
    pub(super) const fn error(
        code: &'static str,
        sentence: &'static str,
        suggestion: &'static str,
    ) -> Self {
        Self::new(Severity::Error, code, [sentence, suggestion])
    }

    /// A finding that should be looked at.
    pub(super) const fn warning(
        code: &'static str,
        sentence: &'static str,
        suggestion: &'static str,
    ) -> Self {
        Self::new(Severity::Warning, code, [sentence, suggestion])
    }

    /// A finding worth knowing.
    pub(super) const fn note(
        code: &'static str,
        sentence: &'static str,
        suggestion: &'static str,
    ) -> Self {
        Self::new(Severity::Note, code, [sentence, suggestion])
    }

    const fn new(
        severity: Severity,
        code: &'static str,
        [sentence, suggestion]: [&'static str; 2],
    ) -> Self {
        Self { code, severity, sentence, suggestion, count: 0, examples: Vec::new() }
    }

    /// Adds a case; its detail is made only when it is listed.
    pub(super) fn add<D: FnOnce() -> String>(&mut self, subject: &str, detail: D) {
        self.count = self.count.saturating_add(1);
        if self.examples.len() < EXAMPLES_MAX {
            self.examples.push(Example { subject: subject.into(), detail: detail() });
        }
    }
}
