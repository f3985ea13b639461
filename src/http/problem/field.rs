//! One wrong field: its place, a stable code, a sentence.

use serde::Serialize;
use utoipa::ToSchema;

macro_rules! field_codes {
    ($($name:ident $code:literal $meaning:literal;)+) => {
        /// What is wrong with one field. The codes are stable and never reused.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum FieldCode {
            $(#[doc = concat!($meaning, ": `", $code, "`.")] $name,)+
        }

        impl FieldCode {
            /// Every code.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The code as it stands in the document.
            pub const fn text(self) -> &'static str {
                match self { $(Self::$name => $code,)+ }
            }
        }
    };
}

field_codes! {
    Missing "missing" "A field that must be there is not";
    UnknownField "unknown-field" "There is no field of this name";
    DuplicateKey "duplicate-key" "An object names a key twice";
    WrongType "wrong-type" "Text for a number, a list for an object and the like";
    NotANumber "number-out-of-range" "A number no computer can hold";
    BelowMinimum "below-minimum" "A number below the least allowed";
    AboveMaximum "above-maximum" "A number above the greatest allowed";
    OutOfRange "out-of-range" "A number that physics does not allow there";
    NotAMultiple "not-a-multiple" "A number with more digits than allowed";
    NotOneOf "not-one-of" "A word that is not one of the allowed words";
    BadForm "bad-form" "Text that does not have the required form";
    TooShort "too-short" "Text shorter than allowed";
    TooLong "too-long" "Text longer than allowed";
    TooFew "too-few" "A list shorter than allowed";
    TooMany "too-many" "A list longer than allowed";
    Repeated "repeated" "A list that names the same thing twice";
    Unknown "unknown" "A reference to something that does not exist";
    Contradiction "contradiction" "Fields that are right alone and wrong together";
    NotGranted "not-granted" "More than the caller's key grants";
    NotSupported "not-supported" "A well-formed wish that this service does not serve";
}

impl Serialize for FieldCode {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.text())
    }
}

/// One wrong field of a body, or one wrong query parameter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FieldError {
    /// Place in the body as a JSON pointer (RFC 6901); empty for the whole body. Absent for a query parameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "/room/width_mm")]
    pub pointer: Option<String>,
    /// Name of the query parameter. Absent for a field of the body.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "limit")]
    pub parameter: Option<String>,
    /// Stable code of what is wrong with it.
    #[schema(value_type = String, example = "below-minimum")]
    pub code: FieldCode,
    /// The same in a sentence for people.
    #[schema(example = "width of the room is 0 mm, allowed are 300 to 20000 mm")]
    pub detail: String,
    /// What would be allowed, where that can be listed or bounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "300 to 20000")]
    pub allowed: Option<String>,
}

impl FieldError {
    /// An error at a place of the body.
    pub fn at<P: Into<String>, D: Into<String>>(pointer: P, code: FieldCode, detail: D) -> Self {
        let (pointer, detail) = (Some(pointer.into()), detail.into());
        Self { pointer, parameter: None, code, detail, allowed: None }
    }

    /// An error of a query parameter.
    pub fn of_parameter(name: &str, code: FieldCode, detail: &str) -> Self {
        let parameter = Some(name.to_owned());
        Self { pointer: None, parameter, code, detail: detail.to_owned(), allowed: None }
    }

    /// The same error, saying what would be allowed.
    #[must_use]
    pub fn allowing<A: Into<String>>(mut self, allowed: A) -> Self {
        self.allowed = Some(allowed.into());
        self
    }
}
