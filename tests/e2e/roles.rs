//! Who may do what, over every described route; and every route is described.

use serde_json::Value;
use swapcall_tests::hub::Site;
use swapcall_wire::Role;

/// What the document describes: method and path.
fn routes(document: &Value) -> Vec<(String, String)> {
    let paths = document["paths"].as_object().expect("paths");
    let methods = |path: &Value| {
        path.as_object()
            .map(|path| path.keys().cloned().collect::<Vec<_>>())
            .unwrap_or_default()
    };
    paths
        .iter()
        .flat_map(|(path, item)| {
            methods(item)
                .into_iter()
                .map(move |method| (method.to_uppercase(), path.clone()))
        })
        .collect()
}

/// The least role that may use a route; `None` is open to all. Read off DESIGN-level rules: carts report and read,
/// runners serve, leads arrange, owners make tokens.
fn least(method: &str, path: &str) -> Option<Role> {
    match (method, path) {
        (_, "/healthz" | "/readyz" | "/metrics" | "/openapi.json") | ("POST", "/v1/session") => {
            None
        }
        ("POST", path) if path.starts_with("/v1/calls/") => Some(Role::Runner),
        ("PUT", _) => Some(Role::Lead),
        (_, path) if path.starts_with("/v1/tokens") => Some(Role::Owner),
        _ => Some(Role::Cart),
    }
}

#[test]
fn every_described_route_keeps_to_its_role() {
    let site = Site::new();
    let hub = site.start();
    let document: Value = hub.api.get("/openapi.json").ok();
    let routes = routes(&document);
    assert!(routes.len() >= 20, "{routes:?}");
    for (method, path) in routes {
        let concrete = path
            .replace("{unit}", "BOW2")
            .replace("{pack}", "P7")
            .replace("{id}", "7");
        let body = (method != "GET" && method != "DELETE").then_some("{}");
        let anonymous = hub.api.with_token(None).send(&method, &concrete, body);
        let least = least(&method, &path);
        // Signing in is open to all, and answers a wrong token with 401 by itself.
        if path != "/v1/session" || method != "POST" {
            assert_eq!(
                anonymous.status == 401,
                least.is_some(),
                "{method} {path} without a token: {}",
                anonymous.status
            );
        }
        for role in [Role::Cart, Role::Runner, Role::Lead, Role::Owner] {
            let somebody = hub.api.as_new("Somebody", role, &[]);
            let answer = somebody.send(&method, &concrete, body);
            let allowed = least.is_none_or(|least| role >= least);
            assert_eq!(
                answer.status != 403,
                allowed,
                "{method} {path} as {role:?}: {} {}",
                answer.status,
                answer.body
            );
            assert!(
                answer.status < 500,
                "{method} {path}: {} {}",
                answer.status,
                answer.body
            );
            assert_ne!(
                answer.status, 405,
                "{method} {path} is described but not there"
            );
        }
    }
}

#[test]
fn a_cart_reports_for_its_own_units_only() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    hub.api.put_unit("TREE");
    let cart = hub.api.as_new("cart of BOW2", Role::Cart, &["BOW2"]);
    let answer = cart.report(vec![
        swapcall_tests::api::battery_report("BOW2", 50.0),
        swapcall_tests::api::battery_report("TREE", 50.0),
    ]);
    assert_eq!((answer.accepted, answer.refused), (1, 1));
    let problem = answer.results[1].problem.as_ref().expect("refused");
    assert_eq!(problem.code(), Some(swapcall_wire::ProblemCode::Forbidden));
}

#[test]
fn the_document_is_openapi_3_1_and_names_every_problem_answer() {
    let document: Value = serde_json::from_slice(
        &std::process::Command::new(swapcall_tests::binaries::hub())
            .arg("openapi")
            .output()
            .expect("the hub prints its document")
            .stdout,
    )
    .expect("JSON");
    // OpenAPI 3.1 (row R-OPENAPI): `openapi` and `info` are required, and one of paths, components, webhooks.
    assert!(
        document["openapi"]
            .as_str()
            .expect("a version")
            .starts_with("3.1.")
    );
    assert!(document["info"]["title"].is_string() && document["paths"].is_object());
    for (path, item) in document["paths"].as_object().expect("paths") {
        for (method, operation) in item.as_object().expect("operations") {
            assert!(
                operation["summary"].is_string(),
                "{method} {path} says what it does"
            );
            if path.starts_with("/v1/") {
                let problems =
                    &operation["responses"]["4XX"]["content"]["application/problem+json"];
                assert!(problems.is_object(), "{method} {path} names its problems");
            }
        }
    }
}
