//! The API's own description, and its routes as they are described: one list of handlers makes both, so that no route is
//! there without a description.

use axum::Router;
use axum::handler::Handler;
use axum::routing::{MethodFilter, on};
use utoipa::openapi::path::{Operation, PathItem};
use utoipa::openapi::security::{Http, HttpAuthScheme, SecurityScheme};
use utoipa::openapi::{OpenApi as OpenApiDocument, RefOr};
use utoipa::{Modify, OpenApi};

use crate::{
    App, backup, calls, cards, forecasts, joins, live, packs, people, pool, probes, reports,
    rundown, settings, shows, tally, tokens, units,
};

macro_rules! described {
    ($($module:ident::$handler:ident),* $(,)?) => {
        #[derive(OpenApi)]
        #[openapi(
            info(
                title = "Swapcall hub",
                description = "Carts report, the hub predicts when each unit stops, and calls a runner in time. \
                    Percent is 0–100, bytes are decimal, times are RFC 3339 in UTC. Errors are problem details (RFC 9457).",
                license(name = "MIT OR Apache-2.0"),
            ),
            security(("token" = [])),
            modifiers(&BearerToken),
            paths($($module::$handler),*),
        )]
        struct Document;

        /// Each handler with its name, which is its description's name as well.
        fn handlers(document: &OpenApiDocument) -> Router<App> {
            Router::new()$(.merge(at(document, stringify!($handler), &$module::$handler)))*
        }
    };
}

described! {
    reports::post_reports,
    units::get_fleet,
    units::get_unit,
    units::put_unit,
    units::get_history,
    forecasts::get_forecasts,
    packs::get_curve,
    pool::get_packs,
    pool::put_pack,
    cards::get_cards,
    cards::get_card,
    cards::put_card,
    cards::post_copies,
    calls::get_calls,
    calls::claim,
    calls::release,
    calls::done,
    calls::undo,
    settings::get_limits,
    settings::put_limits,
    rundown::get_rundown,
    rundown::put_rundown,
    shows::get_shows,
    shows::put_shows,
    tally::post_tally,
    tokens::get_tokens,
    tokens::post_token,
    tokens::delete_token,
    tokens::get_session,
    tokens::post_session,
    tokens::delete_session,
    people::get_people,
    people::delete_person,
    backup::get_backup_fleet,
    backup::get_backup_records,
    joins::post_join,
    joins::redeem,
    live::get_live,
    probes::healthz,
    probes::readyz,
    probes::metrics,
    probes::openapi,
}

struct BearerToken;

impl Modify for BearerToken {
    fn modify(&self, document: &mut OpenApiDocument) {
        let scheme = SecurityScheme::Http(Http::new(HttpAuthScheme::Bearer));
        document
            .components
            .get_or_insert_default()
            .add_security_scheme("token", scheme);
    }
}

/// Every described route.
pub(crate) fn routes() -> Router<App> {
    handlers(&Document::openapi())
}

/// A handler, under the method and path that its description gives.
fn at<T: 'static, H: Handler<T, App>>(
    document: &OpenApiDocument,
    name: &str,
    handler: &H,
) -> Router<App> {
    let items = document.paths.paths.iter();
    let operations = items
        .flat_map(|(path, item)| operations(item).map(move |(method, one)| (path, method, one)));
    let own = operations.filter(|(_, _, one)| one.operation_id.as_deref() == Some(name));
    own.fold(Router::new(), |router, (path, method, _)| {
        router.route(path, on(method, handler.clone()))
    })
}

/// What can be done at a path.
fn operations(item: &PathItem) -> impl Iterator<Item = (MethodFilter, &Operation)> {
    let methods = [
        (MethodFilter::GET, &item.get),
        (MethodFilter::PUT, &item.put),
        (MethodFilter::POST, &item.post),
        (MethodFilter::DELETE, &item.delete),
    ];
    let there = methods.into_iter();
    there.filter_map(|(method, operation)| Some((method, operation.as_ref()?)))
}

/// The `/openapi.json` document.
pub fn openapi_document() -> String {
    let mut document = Document::openapi();
    document
        .paths
        .paths
        .values_mut()
        .flat_map(|path| {
            let methods = [
                &mut path.get,
                &mut path.put,
                &mut path.post,
                &mut path.delete,
            ];
            methods.into_iter().flatten()
        })
        .for_each(describe_full_disk);
    document.to_pretty_json().unwrap_or_default()
}

/// Whatever waits for the journal can meet a full disk. Probes do not wait for it.
fn describe_full_disk(operation: &mut Operation) {
    let probe = operation
        .tags
        .as_ref()
        .is_some_and(|tags| tags.iter().any(|tag| tag == "probes"));
    let responses = &mut operation.responses.responses;
    if let Some(not_ready) = responses.get("503").filter(|_| !probe).cloned() {
        let mut full = not_ready;
        if let RefOr::T(response) = &mut full {
            "The disk is full".clone_into(&mut response.description);
        }
        responses.insert("507".to_owned(), full);
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_description_belongs_to_one_handler_and_one_route() {
        let document = Document::openapi();
        let all = document.paths.paths.values().flat_map(operations);
        let names: Vec<_> = all
            .map(|(_, operation)| operation.operation_id.clone().expect("a name"))
            .collect();
        let different: BTreeSet<_> = names.iter().collect();
        assert_eq!(different.len(), names.len(), "{names:?}");
        assert!(names.len() > 30, "{names:?}");
        // A second handler of the same method and path would be a panic.
        assert!(routes().has_routes());
        let elsewhere = at(&document, "no_such_handler", &probes::healthz);
        assert!(!elsewhere.has_routes());
    }
}
