//! The rules of the house, as ordinary tests: they read the tree and fail with `file:line: what to do`.
//!
//! Each rule is a plain function from text to findings. The tests here hand it the repository; the tests beside each
//! rule hand it a small bad sample, so that every rule is seen to fail.

mod arrows;
mod docs;
mod finding;
mod links;
mod measure;
mod repository;
mod sizes;
mod source;
mod texts;
mod tree;
mod web;
mod words;

use finding::{Finding, report};
use repository::Repository;
use source::Source;

/// Reads and parses every Rust file; one that does not parse is a finding of its own.
fn sources(repository: &Repository) -> Vec<Source> {
    let (sources, broken): (Vec<_>, Vec<_>) = repository
        .texts(&["rs"])
        .into_iter()
        .map(|(path, text)| Source::parse(&path, &text))
        .partition(Result::is_ok);
    let broken: Vec<Finding> = broken.into_iter().filter_map(Result::err).collect();
    report("every Rust file parses", &broken);
    sources.into_iter().filter_map(Result::ok).collect()
}

#[test]
fn only_the_drawn_arrows_join_our_crates() {
    let manifests = Repository::here().manifests();
    assert!(
        manifests.len() >= 10,
        "found only {} manifests: the walk is broken",
        manifests.len()
    );
    report("dependency arrows", &arrows::check(&manifests));
}

#[test]
fn few_direct_dependencies() {
    report(
        "direct dependencies",
        &arrows::count(&Repository::here().manifests()),
    );
}

#[test]
fn clocks_are_read_in_two_files_only() {
    report("clocks", &words::clocks(&sources(&Repository::here())));
}

#[test]
fn pure_rooms_stay_pure() {
    report(
        "pure rooms",
        &words::pure_rooms(&sources(&Repository::here())),
    );
}

#[test]
fn queues_are_bounded() {
    report(
        "bounded queues",
        &words::queues(&sources(&Repository::here())),
    );
}

#[test]
fn nothing_unsafe_boxed_unfinished_or_ignored() {
    report(
        "refused words",
        &words::refused(&sources(&Repository::here())),
    );
}

#[test]
fn functions_and_files_are_short() {
    let repository = Repository::here();
    let mut findings = sizes::functions(&sources(&repository));
    findings.extend(sizes::files(&sources(&repository)));
    findings.extend(sizes::web_files(
        &repository.texts(&["css", "html", "js", "mjs"]),
    ));
    report("sizes", &findings);
}

#[test]
fn mains_only_start_things() {
    report("main.rs", &sizes::mains(&sources(&Repository::here())));
}

#[test]
fn nothing_unwraps_and_an_expect_says_why() {
    report(
        "unwrap and expect",
        &sizes::panics(&sources(&Repository::here())),
    );
}

#[test]
fn every_public_item_and_every_file_is_documented() {
    report("docs", &docs::check(&sources(&Repository::here())));
}

#[test]
fn the_top_level_is_what_the_design_says() {
    if let Some(tracked) = Repository::here().tracked() {
        report("top level", &tree::top_level(&tracked));
    } else {
        println!("not a git checkout: the top level is not checked");
    }
}

#[test]
fn texts_name_no_machine_and_no_registry() {
    let files = Repository::here().texts(&[]);
    assert!(
        files.len() > 50,
        "found only {} texts: the walk is broken",
        files.len()
    );
    report("machine paths and registries", &texts::check(&files));
}

#[test]
fn the_screens_come_from_the_hub_alone() {
    let files: Vec<_> = Repository::here()
        .texts(&[])
        .into_iter()
        .filter(|(path, _)| path.starts_with("server/web/"))
        .collect();
    report("web files", &web::check(&files));
}

#[test]
fn links_lead_somewhere() {
    let repository = Repository::here();
    let pages = repository.texts(&["md"]);
    let alive = |path: &str| repository.exists(path);
    report("links", &links::check(&pages, &alive));
}

/// Prints how the tree measures up where the measuring script stands beside the clone; never fails on it.
#[test]
fn measured_where_the_script_is_at_hand() {
    println!("{}", measure::run(&Repository::here()));
}
