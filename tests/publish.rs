//! Published lists: what is in them and what is not, the folder as a whole, and what other programs and
//! hostile sheets make of them.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test's own helpers fail the test by panicking"
)]

#[path = "publish/folder.rs"]
mod folder;
#[path = "publish/lists.rs"]
mod lists;
#[path = "publish/pages.rs"]
mod pages;
#[path = "publish/site.rs"]
mod site;
