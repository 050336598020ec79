//! Check values with their sources, from `tests/data/vectors.json`.

use serde_json::Value;

/// The row with this id.
///
/// # Panics
///
/// When the file has no such row.
pub fn row(id: &str) -> Value {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/data/vectors.json");
    let text = std::fs::read_to_string(path).expect("the check values lie in tests/data");
    let all: Value = serde_json::from_str(&text).expect("the check values are JSON");
    find(&all, id).unwrap_or_else(|| panic!("no check value {id}"))
}

fn find(value: &Value, id: &str) -> Option<Value> {
    match value {
        Value::Array(items) => items.iter().find_map(|item| find(item, id)),
        Value::Object(members) if members.get("id").and_then(Value::as_str) == Some(id) => {
            Some(value.clone())
        }
        Value::Object(members) => members.values().find_map(|item| find(item, id)),
        _ => None,
    }
}
