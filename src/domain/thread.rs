//! Pipe threads (ISO 228-1, ISO 7-1, NPT): designations, sizes, and which pair joins and where it is sealed.
//!
//! A size is a name, not a measure: G 1/2 is 20.96 mm outside. The mating table is data handed in, so that a row can
//! be corrected without new code. Absent here: torque, for which no neutral figure was found.

use std::fmt;

/// The form of a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThreadForm {
    /// ISO 228-1, parallel, not jointing on the thread.
    G,
    /// ISO 7-1 external, taper, jointing on the thread.
    R,
    /// ISO 7-1 internal, parallel.
    Rp,
    /// ISO 7-1 internal, taper.
    Rc,
    /// American taper pipe thread, 60 degrees: joins none of the others.
    Npt,
}

/// Whether the thread is cut on the outside or the inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThreadSide {
    /// On the outside: an element, a plug, a bush.
    External,
    /// On the inside: a port.
    Internal,
}

/// The sizes this trade meets, by the name cast on the fitting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ThreadSize {
    /// 1/8.
    Eighth,
    /// 1/4.
    Quarter,
    /// 3/8.
    ThreeEighths,
    /// 1/2.
    Half,
    /// 3/4.
    ThreeQuarters,
    /// 1.
    One,
    /// 1 1/4.
    OneAndQuarter,
}

/// A thread: form, size and side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Thread {
    form: ThreadForm,
    size: ThreadSize,
    side: ThreadSide,
}

/// Figures of a G or R thread of a size (ISO 228-1; tables read, minor diameter derived).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadMeasures {
    /// Nominal bore of the pipe it was named after.
    pub nominal_bore_mm: u16,
    /// Major diameter, micrometres.
    pub major_um: u32,
    /// Threads in 25.4 mm.
    pub per_inch: u8,
    /// Gauge length of ISO 7-1, micrometres.
    pub gauge_length_um: u32,
}

/// A text that is no thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotAThread {
    /// The text that came.
    pub text: String,
}

impl fmt::Display for NotAThread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:?} is not a thread, allowed are G, R, Rp, Rc or NPT, a size from 1/8 to 1 1/4, and ext or int (needed \
             for G and NPT)",
            self.text
        )
    }
}

impl std::error::Error for NotAThread {}

impl ThreadForm {
    /// Every form.
    pub const ALL: [Self; 5] = [Self::G, Self::R, Self::Rp, Self::Rc, Self::Npt];

    /// The letters of the designation.
    pub const fn code(self) -> &'static str {
        match self {
            Self::G => "G",
            Self::R => "R",
            Self::Rp => "Rp",
            Self::Rc => "Rc",
            Self::Npt => "NPT",
        }
    }

    /// The form of its letters.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|form| form.code() == text)
    }

    /// The only side a form can have; G and NPT come on both.
    const fn only_side(self) -> Option<ThreadSide> {
        match self {
            Self::R => Some(ThreadSide::External),
            Self::Rp | Self::Rc => Some(ThreadSide::Internal),
            Self::G | Self::Npt => None,
        }
    }
}

impl ThreadSide {
    /// `ext` or `int`.
    pub const fn code(self) -> &'static str {
        match self {
            Self::External => "ext",
            Self::Internal => "int",
        }
    }
}

impl ThreadSize {
    /// Every size, smallest first.
    pub const ALL: [Self; 7] = [
        Self::Eighth,
        Self::Quarter,
        Self::ThreeEighths,
        Self::Half,
        Self::ThreeQuarters,
        Self::One,
        Self::OneAndQuarter,
    ];

    /// The name of the size.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Eighth => "1/8",
            Self::Quarter => "1/4",
            Self::ThreeEighths => "3/8",
            Self::Half => "1/2",
            Self::ThreeQuarters => "3/4",
            Self::One => "1",
            Self::OneAndQuarter => "1 1/4",
        }
    }

    /// The size of a name.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|size| size.code() == text)
    }

    /// What a gauge would find on a G or R thread of this size.
    ///
    /// ```
    /// use rungwright::domain::thread::ThreadSize;
    /// // A half-inch thread is nowhere half an inch (12.7 mm).
    /// assert_eq!(ThreadSize::Half.measures().major_um, 20_955);
    /// ```
    pub const fn measures(self) -> ThreadMeasures {
        let (nominal_bore_mm, major_um, per_inch, gauge_length_um) = match self {
            Self::Eighth => (6, 9_728, 28, 4_000),
            Self::Quarter => (8, 13_157, 19, 6_000),
            Self::ThreeEighths => (10, 16_662, 19, 6_400),
            Self::Half => (15, 20_955, 14, 8_200),
            Self::ThreeQuarters => (20, 26_441, 14, 9_500),
            Self::One => (25, 33_249, 11, 10_400),
            Self::OneAndQuarter => (32, 41_910, 11, 12_700),
        };
        ThreadMeasures { nominal_bore_mm, major_um, per_inch, gauge_length_um }
    }
}

impl Thread {
    /// The thread of a designation such as `G 1/2 ext`, `Rp 3/4` or `G 1/2 A`.
    ///
    /// ```
    /// use rungwright::domain::thread::Thread;
    /// assert_eq!(Thread::parse("R 1/2").unwrap().to_string(), "R 1/2 ext");
    /// // ISO 228-1 writes a tolerance class on external threads only, so it tells the side.
    /// assert_eq!(Thread::parse("G 1/2 A"), Thread::parse("G 1/2 ext"));
    /// // A G thread without a side could be either half of the joint.
    /// assert!(Thread::parse("G 1/2").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Self, NotAThread> {
        Self::read(text).ok_or_else(|| NotAThread { text: text.to_owned() })
    }

    fn read(text: &str) -> Option<Self> {
        let (letters, rest) = text.split_once(' ')?;
        let form = ThreadForm::parse(letters)?;
        let (name, said) = side_said(form, rest);
        let side = match (form.only_side(), said) {
            (None, known) | (known, None) => known?,
            (Some(only), Some(stated)) => (only == stated).then_some(only)?,
        };
        Some(Self { form, size: ThreadSize::parse(name)?, side })
    }

    /// Form.
    pub const fn form(self) -> ThreadForm {
        self.form
    }

    /// Size.
    pub const fn size(self) -> ThreadSize {
        self.size
    }

    /// Side.
    pub const fn side(self) -> ThreadSide {
        self.side
    }
}

fn side_said(form: ThreadForm, rest: &str) -> (&str, Option<ThreadSide>) {
    let external = rest.strip_suffix(" ext").or_else(|| match form {
        ThreadForm::G => rest.strip_suffix(" A").or_else(|| rest.strip_suffix(" B")),
        ThreadForm::R | ThreadForm::Rp | ThreadForm::Rc | ThreadForm::Npt => None,
    });
    match (external, rest.strip_suffix(" int")) {
        (Some(size), _) => (size, Some(ThreadSide::External)),
        (None, Some(size)) => (size, Some(ThreadSide::Internal)),
        (None, None) => (rest, None),
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", self.form.code(), self.size.code(), self.side.code())
    }
}
