//! Values in the report's own form: what a crew's own program or device may give.

use serde_json::Value;
use swapcall_wire::Report;

use super::Finding;

/// Reads the object by the report's own rules; unit and time may be left out.
pub(super) fn finding(mut object: Value, unit: &str) -> Result<Finding, String> {
    if let Some(members) = object.as_object_mut() {
        members.entry("unit").or_insert_with(|| unit.into());
        members
            .entry("at")
            .or_insert_with(|| "1970-01-01T00:00:00Z".into());
    }
    let report: Report =
        serde_json::from_value(object).map_err(|error| format!("gave no report: {error}"))?;
    if report.unit != unit {
        return Err(format!("gave a report of {}, not of {unit}", report.unit));
    }
    Ok(Finding {
        mode: report.mode,
        growing: None,
        battery: report.battery,
        cards: report.cards,
    })
}
