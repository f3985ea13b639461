//! Names in a request that refer to something: what is said about one that refers to nothing.
//!
//! Absent here: part numbers, which are too many to list.

use crate::domain::catalogue::AccessoryKind;
use crate::domain::catalogue::Edition;
use crate::domain::catalogue::Role;
use crate::http::problem::FieldCode;
use crate::http::problem::FieldError;

/// A name that refers to nothing, and the names that would.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown<'a> {
    what: &'static str,
    named: &'a str,
    known: Vec<&'a str>,
}

impl<'a> Unknown<'a> {
    /// Nothing, when the edition sells in the market.
    pub fn market(edition: &'a Edition, named: &'a str) -> Option<Self> {
        let known = edition.content().markets.iter().map(|market| &*market.code).collect();
        Self::unless_known("market", named, known)
    }

    /// Nothing, when the finish table has the finish, whether any part comes in it or not.
    pub fn finish(edition: &'a Edition, named: &'a str) -> Option<Self> {
        let known = edition.content().finishes.keys().map(AsRef::as_ref).collect();
        Self::unless_known("finish", named, known)
    }

    /// Nothing, when it is a kind of accessory.
    pub fn accessory_kind(named: &'a str) -> Option<Self> {
        let known = AccessoryKind::ALL.into_iter().map(AccessoryKind::word).collect();
        Self::unless_known("kind", named, known)
    }

    /// Nothing, when it is a role of controls.
    pub fn role(named: &'a str) -> Option<Self> {
        Self::unless_known("role", named, Role::ALL.into_iter().map(Role::word).collect())
    }

    /// Nothing, when elements can be regulated so.
    pub fn regulation(named: &'a str) -> Option<Self> {
        Self::unless_known("regulation", named, vec!["fixed", "adjustable"])
    }

    fn unless_known(what: &'static str, named: &'a str, known: Vec<&'a str>) -> Option<Self> {
        (!known.contains(&named)).then_some(Self { what, named, known })
    }

    /// As an error of the body's field of the same name, at the place that is being read.
    pub fn of_field(&self) -> FieldError {
        let pointer = format!("/{}", self.what);
        FieldError::at(pointer, FieldCode::Unknown, self.detail()).allowing(self.known.join(", "))
    }

    /// As an error of the query parameter of the same name.
    pub fn of_parameter(&self) -> FieldError {
        let error = FieldError::of_parameter(self.what, FieldCode::Unknown, &self.detail());
        error.allowing(self.known.join(", "))
    }

    fn detail(&self) -> String {
        format!("there is no {} {:?}; there are: {}", self.what, self.named, self.known.join(", "))
    }
}
