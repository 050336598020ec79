//! What a rule reports: where, and what to do about it.

/// One place that breaks a rule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Finding {
    /// Path from the top of the repository, with `/` between folders.
    pub(crate) path: String,
    /// Line, counted from 1; 0 when the whole file is meant.
    pub(crate) line: usize,
    /// What is wrong and what to do, in one sentence.
    pub(crate) advice: String,
}

impl Finding {
    /// A finding at one line.
    pub(crate) fn new(path: &str, line: usize, advice: impl Into<String>) -> Self {
        Self {
            path: path.to_owned(),
            line,
            advice: advice.into(),
        }
    }
}

/// Fails with one `file:line: advice` per finding; does nothing when there is none.
pub(crate) fn report(rule: &str, findings: &[Finding]) {
    let lines: Vec<String> = findings
        .iter()
        .map(|finding| match finding.line {
            0 => format!("{}: {}", finding.path, finding.advice),
            line => format!("{}:{line}: {}", finding.path, finding.advice),
        })
        .collect();
    assert!(
        lines.is_empty(),
        "{rule}: {} to mend\n{}",
        lines.len(),
        lines.join("\n")
    );
}

#[test]
#[should_panic(expected = "server/a.rs:7: say it shorter")]
fn a_finding_fails_with_its_place_and_advice() {
    report("sizes", &[Finding::new("server/a.rs", 7, "say it shorter")]);
}
