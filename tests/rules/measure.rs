//! The tree's figures, where the script that takes them stands beside the clone.

use std::process::Command;

use crate::repository::Repository;

/// What the script's `--check` says, or why there is nothing to say.
pub(crate) fn run(repository: &Repository) -> String {
    let Some(tools) = repository
        .top()
        .parent()
        .map(|parent| parent.join("shared/tools"))
    else {
        return "the clone lies at the root of the file system: no measuring script beside it"
            .to_owned();
    };
    let script = tools.join("measure.py");
    if !script.is_file() {
        return "no measuring script beside the clone".to_owned();
    }
    let output = Command::new("python3")
        .arg(script)
        .arg("--check")
        .arg(tools.join("limits.json"))
        .arg(repository.top())
        .output();
    match output {
        Ok(output) => String::from_utf8_lossy(&[output.stdout, output.stderr].concat())
            .trim()
            .to_owned(),
        Err(error) => format!("the measuring script was not run: {error}"),
    }
}
