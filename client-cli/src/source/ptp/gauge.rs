//! The battery property as a percentage: by its own scale, whatever that is.

use swapcall_wire::BatteryReport;

use super::datasets::{Form, PropertyDescription};

/// Finest and coarsest step that a report may tell, percent.
const STEPS: (f64, f64) = (0.01, 50.0);

/// What was learned of the camera's gauge.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Gauge {
    /// Whether a value was seen between the steps. A camera's steps are where it tells of a change by itself; its value
    /// may be finer.
    finer: bool,
}

impl Gauge {
    /// The battery of a description. None where the value lies outside its own scale: it stands for something else then.
    pub(super) fn battery(&mut self, description: &PropertyDescription) -> Option<BatteryReport> {
        let value = description.current;
        let (most, step) = self.scale(description)?;
        if !(0..=most).contains(&value) {
            return None;
        }
        let share = |value: i128| 100.0 * value as f64 / most as f64;
        Some(BatteryReport {
            // Rounding must not lift a full battery above itself.
            percent: share(value).min(100.0),
            step: step.map(|step| share(step).clamp(STEPS.0, STEPS.1)),
            external: false,
            pack: None,
            celsius: None,
            volts: None,
        })
    }

    /// The value of a full battery, and how far the gauge's values lie apart.
    fn scale(&mut self, description: &PropertyDescription) -> Option<(i128, Option<i128>)> {
        let value = description.current;
        let (most, step) = match &description.form {
            // No scale of its own: a percentage, as most cameras have it.
            Form::None => return Some((100, None)),
            Form::Range { least, most, step } => {
                self.finer |= *step > 0 && (value - least) % step != 0;
                (*most, *step)
            }
            Form::List(values) => {
                // Some lists hold a negative value for “not known”.
                let mut values: Vec<i128> = values.iter().copied().filter(|v| *v >= 0).collect();
                values.sort_unstable();
                self.finer |= values.binary_search(&value).is_err();
                let gaps = values.windows(2).map(|pair| pair[1] - pair[0]);
                (*values.last()?, gaps.max().unwrap_or(0))
            }
        };
        let step = if self.finer { 1 } else { step.max(1) };
        (most > 0).then_some((most, Some(step)))
    }
}

#[cfg(test)]
mod tests {
    use super::super::datasets::tests::row;
    use super::*;

    fn read(current: i128, form: Form) -> Option<(f64, Option<f64>)> {
        let battery = Gauge::default().battery(&PropertyDescription { current, form })?;
        Some((battery.percent, battery.step))
    }

    fn range(most: i128, step: i128) -> Form {
        Form::Range {
            least: 0,
            most,
            step,
        }
    }

    #[test]
    fn the_check_value_holds_for_a_range_and_for_a_list() {
        let row = row("R-PTP-BAT");
        let number = |value: &serde_json::Value| value.as_i64().map(i128::from).unwrap();
        let (value, most) = (number(&row["input"]["value"]), number(&row["input"]["max"]));
        assert_eq!(
            row["expected"]["code"],
            super::super::session::BATTERY_LEVEL
        );
        let expected = row["expected"]["percent"].as_f64().unwrap();
        assert_eq!(read(value, range(most, 1)), Some((expected, Some(25.0))));
        let list = Form::List((0..=most).collect());
        assert_eq!(read(value, list), Some((expected, Some(25.0))));
    }

    #[test]
    fn the_step_is_the_gauges_own_unless_its_values_lie_between() {
        assert_eq!(read(60, range(100, 10)), Some((60.0, Some(10.0))));
        assert_eq!(read(63, range(100, 10)), Some((63.0, Some(1.0))));
        assert_eq!(read(63, range(100, 0)), Some((63.0, Some(1.0))));
        let uneven = || Form::List(vec![100, 0, 20, 50, 80]);
        assert_eq!(read(50, uneven()), Some((50.0, Some(30.0))));
        assert_eq!(read(49, uneven()), Some((49.0, Some(1.0))));
        assert_eq!(read(100, Form::List(vec![0, 100])).unwrap().1, Some(50.0));
        assert_eq!(read(1, range(1_000_000, 1)).unwrap().1, Some(0.01));
        let mut gauge = Gauge::default();
        let mut step = |current| {
            let form = range(100, 10);
            let description = PropertyDescription { current, form };
            gauge.battery(&description).unwrap().step
        };
        assert_eq!(
            [step(70), step(69), step(60)],
            [Some(10.0), Some(1.0), Some(1.0)],
            "once seen to be finer it stays so"
        );
    }

    #[test]
    fn without_a_scale_a_value_is_a_percentage_and_outside_its_scale_it_is_none() {
        assert_eq!(read(63, Form::None), Some((63.0, None)));
        for (value, form) in [
            (255, Form::None),
            (101, range(100, 1)),
            (-1, range(100, 1)),
            (0, range(0, 1)),
            (3, range(-4, 1)),
            (0, Form::List(vec![])),
            (-1, Form::List(vec![-1, 25, 50])),
            (0, Form::List(vec![0])),
        ] {
            assert_eq!(read(value, form.clone()), None, "{value} {form:?}");
        }
    }

    #[test]
    fn the_largest_numbers_do_not_overflow() {
        let (least, most) = (i128::from(i64::MIN), i128::from(u64::MAX));
        for step in [least, 0, 1, most] {
            let form = Form::Range { least, most, step };
            assert_eq!(read(most, form).map(|it| it.0), Some(100.0));
        }
    }
}
