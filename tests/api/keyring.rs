//! The key that tests ask with: good for everything, kept nowhere, another in each run.

use std::sync::OnceLock;

use rungwright::domain::access::Grant;
use rungwright::operations::App;
use rungwright::operations::access::Access;
use rungwright::operations::access::KeySecret;
use rungwright::operations::access::Token;
use rungwright::operations::start::demo_grant;

fn token() -> &'static Token {
    static TOKEN: OnceLock<Token> = OnceLock::new();
    TOKEN.get_or_init(|| Token::passing().unwrap())
}

/// What stands in `Authorization`.
pub(crate) fn bearer() -> String {
    format!("Bearer {}", token().reveal())
}

/// Opens a program without a database to the tests' key.
pub(crate) fn open(app: &App) {
    let access = Access::closed(KeySecret::random().unwrap());
    lend(&access, demo_grant());
    app.open_access(access);
}

/// Lets the tests' key in.
pub(crate) fn lend(access: &Access, grant: Grant) {
    access.lend(token(), grant);
}
