//! Completions for shells: written by `clap_complete` when the tests run and kept as files, so that the command itself
//! does not carry a generator. A test says when they are behind the command line, and how to renew them.

use clap::ValueEnum;

/// A shell that completions are kept for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Shell {
    /// Bourne again.
    Bash,
    /// Elvish.
    Elvish,
    /// Fish.
    Fish,
    /// `PowerShell`.
    #[value(name = "powershell")]
    PowerShell,
    /// Z.
    Zsh,
}

impl Shell {
    /// The script to load into it.
    pub fn script(self) -> &'static str {
        match self {
            Self::Bash => include_str!("../completions/swapcall.bash"),
            Self::Elvish => include_str!("../completions/swapcall.elv"),
            Self::Fish => include_str!("../completions/swapcall.fish"),
            Self::PowerShell => include_str!("../completions/swapcall.ps1"),
            Self::Zsh => include_str!("../completions/swapcall.zsh"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::args::Args;
    use clap::CommandFactory;

    /// Set to `write` it makes the test write the files instead of comparing them.
    const RENEW: &str = "SWAPCALL_COMPLETIONS";

    #[test]
    fn they_are_as_the_command_line_is() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/completions");
        let shells = [
            (Shell::Bash, clap_complete::Shell::Bash, "bash"),
            (Shell::Elvish, clap_complete::Shell::Elvish, "elv"),
            (Shell::Fish, clap_complete::Shell::Fish, "fish"),
            (Shell::PowerShell, clap_complete::Shell::PowerShell, "ps1"),
            (Shell::Zsh, clap_complete::Shell::Zsh, "zsh"),
        ];
        for (shell, generator, extension) in shells {
            let mut script = Vec::new();
            clap_complete::generate(generator, &mut Args::command(), "swapcall", &mut script);
            let script = String::from_utf8(script).unwrap();
            let lines: String = script
                .lines()
                .flat_map(|line| [line.trim_end(), "\n"])
                .collect();
            if std::env::var(RENEW).is_ok_and(|wish| wish == "write") {
                std::fs::write(format!("{folder}/swapcall.{extension}"), &lines).unwrap();
                continue;
            }
            assert!(
                shell.script() == lines,
                "{shell:?}: {RENEW}=write cargo test -p swapcall completions renews the files"
            );
        }
    }
}
