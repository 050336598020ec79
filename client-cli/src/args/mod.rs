//! The command line: what every subcommand takes, with an example in the help of each.

mod cart;
mod kit;
mod lead;
mod offload;

pub use cart::{ReplayArgs, ReportArgs, SourceArgs, Speed, WatchArgs};
pub use kit::{BayArgs, CardArgs, KitArgs, ListArgs, PackArgs};
pub use lead::{
    BoardArgs, CallsArgs, ClaimArgs, DoneArgs, ForecastsArgs, HistoryArgs, InviteArgs, JoinArgs,
    LimitsArgs, LimitsDo, PutUnitArgs, ReleaseArgs, RotationArgs, RundownArgs, RundownDo, UndoArgs,
};
pub use offload::OffloadArgs;

use std::path::PathBuf;
use std::time::Duration;

use clap::{Parser, Subcommand};
use jiff::SignedDuration;

use crate::completions::Shell;
use crate::exit::Exit;
use crate::settings::Layer;
use crate::words;

/// `swapcall`: the command beside each camera, and the lead's terminal.
#[derive(Debug, Parser)]
#[command(name = "swapcall", version, about, after_help = exit_codes(), subcommand_required = true)]
#[command(arg_required_else_help = true)]
pub struct Args {
    /// Where the hub is and who we are.
    #[command(flatten)]
    pub global: Global,
    /// What to do.
    #[command(subcommand)]
    pub task: Task,
}

/// Flags of every subcommand. Each comes before its environment variable, and that before the configuration file.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct Global {
    /// Address of the hub.
    #[arg(
        help = "Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]",
        long,
        global = true,
        value_name = "URL",
        help_heading = "Hub"
    )]
    pub hub: Option<String>,
    /// The token to sign in with.
    #[arg(
        help = "The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]",
        long,
        global = true,
        value_name = "TOKEN",
        conflicts_with = "token_file",
        help_heading = "Hub"
    )]
    pub token: Option<String>,
    /// A file that holds the token.
    #[arg(
        help = "A file that holds the token [env: SWAPCALL_TOKEN_FILE]",
        long,
        global = true,
        value_name = "FILE",
        help_heading = "Hub"
    )]
    pub token_file: Option<PathBuf>,
    /// Fingerprint of the hub's certificate.
    #[arg(
        help = "Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]",
        long,
        global = true,
        value_name = "SHA256:…",
        help_heading = "Hub"
    )]
    pub hub_fingerprint: Option<String>,
    /// The authorities that may sign the hub's certificate.
    #[arg(
        help = "Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system's]",
        long,
        global = true,
        value_name = "FILE",
        conflicts_with = "hub_fingerprint",
        help_heading = "Hub"
    )]
    pub hub_ca: Option<PathBuf>,
    /// The folder for reports that wait for the hub.
    #[arg(
        help = "The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]",
        long,
        global = true,
        value_name = "DIR",
        help_heading = "Hub"
    )]
    pub spool: Option<PathBuf>,
    /// How large that folder may grow.
    #[arg(
        help = "How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]",
        long,
        global = true,
        value_name = "SIZE",
        value_parser = spool_size,
        help_heading = "Hub"
    )]
    pub spool_size: Option<String>,
    /// The configuration file.
    #[arg(
        help = "Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]",
        long,
        global = true,
        value_name = "FILE",
        help_heading = "Hub"
    )]
    pub config: Option<PathBuf>,
    /// Answer in JSON: one document, or one to a line where there are many
    #[arg(long, global = true, help_heading = "Output")]
    pub json: bool,
}

impl Global {
    /// The flags as a layer of settings.
    pub fn layer(&self) -> Layer {
        Layer {
            hub: self.hub.clone(),
            token: self.token.clone(),
            token_file: self.token_file.clone(),
            spool: self.spool.clone(),
            spool_size: self.spool_size.clone(),
            hub_fingerprint: self.hub_fingerprint.clone(),
            hub_ca: self.hub_ca.clone(),
        }
    }
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Task {
    /// Report what you read off a unit's display
    #[command(
        after_help = "Examples:\n  swapcall report BOW2 63 rec A=40\n  swapcall report BOW2 -b 63 --step 25 \
        --pack P07 --card A:C12=51.2/128GB --mode rec\n  swapcall report BOW2        (asks, one value at a time)\n\n\
        Words are understood by shape: 63 or 63% is the battery, rec/standby/off the mode, A=40 a card (percent; \
        sizes as A=51.2/128GB; A=empty for a slot without card), relay/single/simultaneous the slot mode, ext \
        external power, 18.5C and 14.1V the pack (below zero as --celsius=-3), pack:P07 its label."
    )]
    Report(Box<ReportArgs>),
    /// Report on a period from what this computer can read
    #[command(
        after_help = "Examples:\n  swapcall watch BOW2 --every 5s --power-supply --mount A=/media/card\n  swapcall watch \
        BOW2 --power-supply --mounts-under /media\n  swapcall watch BOW2 --http http://192.168.1.20/status.json \
        --http-map battery=/power/percent\n      --http-map mode=/rec --http-map A.used_percent=/cards/0/fill\n  swapcall \
        watch BOW2 --command './read-camera --once' --mode rec\n  swapcall watch BOW2 --ptp 192.168.1.40\n  swapcall watch BOW2 --typed\n\n--http-map takes battery, \
        step, pack, volts, celsius, external, mode, slot_mode, bit_rate, and of a slot \
        A.used_percent, A.used_bytes, A.capacity_bytes, A.card, A.state. A card that grows means recording, until half a \
        minute after it stopped; --mode stands above that.\n\nWhile the hub is out of reach reports go \
        to the spool (--spool-size; when full the oldest are thinned, then dropped, counted and said) and are sent later, in order, \
        once. Runs until Ctrl-C or SIGTERM, with --typed until Ctrl-D as well."
    )]
    Watch(Box<WatchArgs>),
    /// Show the fleet, live
    #[command(
        after_help = "Examples:\n  swapcall board\n  swapcall board --plain | tee show.log\n\nKeys: up/down or \
        j/k select a call, c claim, d done, r release, PgUp/PgDn/Home scroll the units, q quit. With NO_COLOR set it stays \
        without colours; where TERM is dumb it prints lines, as with --plain."
    )]
    Board(BoardArgs),
    /// List the calls
    #[command(after_help = "Example:\n  swapcall calls --all")]
    Calls(CallsArgs),
    /// Take a call: you are on the way
    #[command(
        after_help = "Example:\n  swapcall claim 12 --note 'with two packs'\n\nCALL is the number or the \
        UUID. Exits with 6 when somebody else has it, and says who."
    )]
    Claim(ClaimArgs),
    /// Give a call back
    #[command(after_help = "Example:\n  swapcall release 12")]
    Release(ReleaseArgs),
    /// Say that a call is done
    #[command(after_help = "Example:\n  swapcall done 12 --note 'lens wiped too'")]
    Done(DoneArgs),
    /// Take back that a call is done, within 30 seconds
    #[command(
        after_help = "Example:\n  swapcall undo 12\n\nThe call is what it was before: yours, or open. Exits with 6 when \
        it is too late, when another said it, or when a report has shown the swap. A claim is undone by release, a \
        call handed back by claim."
    )]
    Undo(UndoArgs),
    /// Make a code with which somebody comes in, once
    #[command(
        after_help = "Examples:\n  swapcall invite Ana --role runner\n  swapcall invite 'cart of BOW2' --role cart \
        --unit BOW2\n\nPrints the code and a link. A browser opens the link or takes the code; a cart or another \
        terminal runs: swapcall join CODE --hub ADDRESS"
    )]
    Invite(InviteArgs),
    /// Come in with a code: writes the token and the hub's address to the configuration
    #[command(
        after_help = "Examples:\n  swapcall join 'https://192.168.1.10:7979/#join=BCDFG-HJKLM&pin=3A07…'\n  swapcall join \
        BCDFG-HJKLM\n  swapcall join BCDFG-HJKLM --hub http://192.168.1.10:7979\n\nA link holds the hub's address and \
        certificate. With a code alone the hub is looked for on the local network (DNS-SD); its certificate is then \
        shown, to be compared with what the hub printed, and kept."
    )]
    Join(JoinArgs),
    /// List the hubs that announce themselves on this network
    #[command(after_help = "Example:\n  swapcall find")]
    Find,
    /// Show every unit, once
    #[command(after_help = "Example:\n  swapcall fleet --json")]
    Fleet,
    /// Show one unit
    #[command(after_help = "Example:\n  swapcall unit BOW2")]
    Unit {
        /// Callsign
        unit: String,
    },
    /// List the packs of the kit: which are ready, and where the others are
    #[command(
        after_help = "Examples:\n  swapcall packs\n  swapcall packs --from kit.csv\n\nA table has the columns label, wh, \
        place, bay, unit and percent, in any order, of which only label is needed; as spreadsheets write it, with commas \
        or semicolons. Every line is checked before anything is sent. A pack that the hub knows stays where it is, so the \
        same file again is harmless."
    )]
    Packs(ListArgs),
    /// Show a pack and what was learned of it, or say where it is and how full
    #[command(
        after_help = "Examples:\n  swapcall pack P07\n  swapcall pack P07 --wh 98 --ready --percent 100\n  swapcall pack \
        P07 --bay 3\n\nA label that was not known is registered. Calls name the best pack that is ready."
    )]
    Pack(PackArgs),
    /// List the bays of the chargers: what is in them, and when it is ready
    #[command(after_help = "Example:\n  swapcall bays")]
    Bays,
    /// Show a bay, or say what is in it and how full
    #[command(
        after_help = "Examples:\n  swapcall bay 3\n  swapcall bay 3 --pack P07 --percent 12\n  swapcall bay 3 --percent \
        62\n  swapcall bay 3 --empty\n\nA bay holds one pack and learns from each charge how long it takes. What is put \
        into it takes the place of what was there. From 98 % on a pack counts as ready; a pack whose time is over does not, \
        until somebody says so."
    )]
    Bay(BayArgs),
    /// Look ahead: whether the packs last, when they run short, how short, and what would cure it
    #[command(
        after_help = "Examples:\n  swapcall rotation\n  swapcall rotation --hours 4 --bays 6\n\nThe hours to come are played \
        through with the packs and bays that the kit knows; each cure is tried in the same cases. What was taken for lack of \
        knowledge stands at the end."
    )]
    Rotation(RotationArgs),
    /// List the cards of the kit: which are blank, and where the others are
    #[command(
        after_help = "Examples:\n  swapcall cards\n  swapcall cards --from kit.csv\n\nA table has the columns label, \
        capacity and state, as that of packs."
    )]
    Cards(ListArgs),
    /// Show a card, or say where it is and what is on it
    #[command(
        after_help = "Examples:\n  swapcall card C12\n  swapcall card C12 --capacity 128GB --blank\n  swapcall card C12 \
        --safe\n\nA label that was not known is registered. Calls name a blank card. A card that may hold the only copy \
        of something becomes blank only with --despite-footage."
    )]
    Card(CardArgs),
    /// Say before a show whether the kit lasts, what fails first, and what would mend it
    #[command(
        after_help = "Examples:\n  swapcall kit --example > show.toml\n  swapcall kit show.toml\n  swapcall kit show.toml --json\n\n\
        Needs no hub and no token. Packs go through bays and cards through readers, swap by swap; the rule that decided \
        is printed. Exits with 0 whatever the answer; programs read lasts in the JSON."
    )]
    Kit(KitArgs),
    /// Copy a card to several places, read every copy back, and say whether the card is safe
    #[command(
        after_help = "Examples:\n  swapcall offload /media/card /media/raid/C12 /media/shuttle/C12 --card C12\n  swapcall offload \
        /media/card /media/raid/C12 --copies 1 --hash xxh64,md5\n\nThe card is read once. Each copy is written, read back from its \
        disk and compared by its hashes (ASC MHL takes c4, md5, sha1, xxh128, xxh3, xxh64), and gets a manifest in its folder \
        ascmhl. Nothing is overwritten. After an interruption the same line goes on: what is whole is not copied again. Only SAFE \
        with exit code 0 means that the card may be used again; with 10 it is safe and the hub does not know yet."
    )]
    Offload(OffloadArgs),
    /// Show a unit's past
    #[command(
        after_help = "Examples:\n  swapcall history BOW2 --from 2h --step 60\n  swapcall history BOW2 --from \
        2026-06-13T09:00:00Z --to 2026-06-13T10:00:00Z"
    )]
    History(HistoryArgs),
    /// Show how good a unit's forecasts were: as they were made, with what then happened
    #[command(
        after_help = "Example:\n  swapcall forecasts BOW2 --from 2h\n\nOne every two minutes at most, for the last twelve \
        hours; the first line says how far back it goes."
    )]
    Forecasts(ForecastsArgs),
    /// Say what is known about a unit before it reports
    #[command(
        after_help = "Example:\n  swapcall put-unit BOW2 --position 'bow, port side' --walk-s 90 --pack-wh 98 \
        --gauge voltage\n\nWhat is not named stays as it was; --replace forgets it."
    )]
    PutUnit(Box<PutUnitArgs>),
    /// Show or set lead times, margins and reminder times
    #[command(after_help = "Examples:\n  swapcall limits\n  swapcall limits set limits.json")]
    Limits(LimitsArgs),
    /// Show or set the running order: when units roll, are held, or have a break
    #[command(
        after_help = "Examples:\n  swapcall rundown show\n  swapcall rundown set rundown.json"
    )]
    Rundown(RundownArgs),
    /// Post a recorded log, in real or compressed time
    #[command(
        after_help = "Examples:\n  swapcall replay trace.csv --unit BOW2 --gauge cc1 --speed max\n  swapcall \
        replay trace.csv --unit BOW2 --gauge human --speed 60\n  swapcall replay reports.jsonl --unit BOW2\n\n\
        --speed max (the default) posts everything at once; the times keep their true spacing and end now, so all \
        lie in the past.\n--speed N posts in N-fold time, beginning now: the time of a row is the start plus its \
        t_s / N. A forecast then only makes sense at a hub whose own clock runs N times as fast.\n\nA .csv has a \
        head line with t_s, mode, ext and gauge columns such as cc1, v25 or human; an empty cell is no reading, and \
        then only a change of mode is posted. The resolution follows from the column's name (cc25 is 25, human is 5 \
        and typed). Anything else is read as JSON lines in report form."
    )]
    Replay(ReplayArgs),
    /// Send what waits in the spool, now
    #[command(after_help = "Example:\n  swapcall send")]
    Send,
    /// Show what waits in the spool, and whether the hub answers
    #[command(after_help = "Example:\n  swapcall status --json")]
    Status,
    /// Check everything a cart needs: configuration, hub, token, clock, spool and sources
    #[command(
        after_help = "Examples:\n  swapcall doctor\n  swapcall doctor --power-supply --mount A=/media/card\n  swapcall doctor \
        --http http://192.168.1.20/status.json --http-map battery=/power/percent\n  swapcall doctor --ptp 192.168.1.40\n\nEach line says \
        ok, look (it works, but not as it should) or NO, and what to do. Nothing is reported to the hub. Exits with 0 \
        where no line says NO."
    )]
    Doctor(SourceArgs),
    /// Print the manual, or the page of one command
    #[command(
        after_help = "Examples:\n  swapcall man watch | man -l -\n  swapcall man --dir /usr/local/share/man/man1    (all pages, as \
        files)"
    )]
    Man {
        /// The command, such as watch, or limits set
        command: Vec<String>,
        /// Write every page into this folder instead
        #[arg(long, value_name = "DIR", conflicts_with = "command")]
        dir: Option<PathBuf>,
    },
    /// Print completions for a shell
    #[command(
        after_help = "Example:\n  swapcall completions bash > ~/.local/share/bash-completion/completions/swapcall"
    )]
    Completions {
        /// The shell
        shell: Shell,
    },
}

/// The exit codes, as the help lists them.
fn exit_codes() -> String {
    let lines = Exit::ALL
        .iter()
        .map(|exit| format!("  {:>3}  {}\n", exit.number(), exit.meaning()));
    format!(
        "Exit codes:\n{}\nExample:\n  swapcall report BOW2 63 rec A=40",
        lines.collect::<String>()
    )
}

/// A size that makes sense for a spool, as it was written: settings of all kinds are read in one place.
fn spool_size(text: &str) -> Result<String, String> {
    words::spool_size(text).map(|_| text.to_owned())
}

/// A duration: `5s`, `2m`, `1h30m`, or bare seconds. Longer than nothing.
pub fn duration(text: &str) -> Result<Duration, String> {
    let wrong = || format!("“{text}” is not a duration such as 5s or 2m");
    let seconds = text
        .parse::<f64>()
        .ok()
        .and_then(|value| Duration::try_from_secs_f64(value).ok());
    let duration = if let Some(duration) = seconds {
        duration
    } else {
        let signed: SignedDuration = text.parse().map_err(|_| wrong())?;
        signed.try_into().map_err(|_| wrong())?
    };
    if duration.is_zero() {
        Err(wrong())
    } else {
        Ok(duration)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_sound_and_every_help_has_an_example() {
        let command = Args::command();
        command.clone().debug_assert();
        for sub in command
            .get_subcommands()
            .filter(|sub| sub.get_name() != "help")
        {
            let help = sub
                .get_after_help()
                .map(ToString::to_string)
                .unwrap_or_default();
            assert!(
                help.contains(&format!("swapcall {}", sub.get_name())),
                "{}: {help}",
                sub.get_name()
            );
        }
    }

    #[test]
    fn the_help_lists_every_exit_code() {
        let help = Args::command().render_long_help().to_string();
        for exit in Exit::ALL {
            assert!(
                help.contains(&format!("{:>3}  {}", exit.number(), exit.meaning())),
                "{help}"
            );
        }
    }

    #[test]
    fn durations_are_seconds_or_have_a_unit() {
        assert_eq!(duration("5"), Ok(Duration::from_secs(5)));
        assert_eq!(duration("0.5"), Ok(Duration::from_millis(500)));
        assert_eq!(duration("1h30m"), Ok(Duration::from_secs(5400)));
        for bad in ["", "0", "-5s", "soon", "inf", "nan", "1e300"] {
            assert!(duration(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn the_lines_of_the_examples_are_accepted() {
        for line in [
            "swapcall report BOW2 63 rec A=40",
            "swapcall report BOW2 --celsius -3 -b 63 -m rec --card A=40 --card B:C13=0 --as-cart",
            "swapcall watch BOW2 --every 5s --power-supply --mount A=/media/card",
            "swapcall watch BOW2 --power-supply /tmp/tree --mode standby",
            "swapcall watch BOW2 --ptp 192.168.1.40",
            "swapcall watch BOW2 --power-supply --spool-size 8MB",
            "swapcall doctor --power-supply --mount A=/media/card",
            "swapcall doctor --http http://192.168.1.20/status.json --http-map battery=/power/percent",
            "swapcall watch BOW2 --power-supply --mounts-under /media",
            "swapcall watch BOW2 --http http://c/ --http-map mode=/rec --http-map A.used_percent=/cards/0/fill",
            "swapcall watch BOW2 --typed --mount A:C12=/media/card",
            "swapcall doctor --ptp camera.local:15740",
            "swapcall claim 12 --as Robin --note hello --hub http://hub:1",
            "swapcall limits set limits.json",
            "swapcall kit show.toml",
            "swapcall kit --example",
            "swapcall rundown show",
            "swapcall rundown set -",
            "swapcall replay t.csv --unit BOW2 --gauge cc1 --speed 60",
            "swapcall --json history BOW2 --from 2h --step 60",
        ] {
            Args::try_parse_from(line.split(' ')).unwrap_or_else(|error| panic!("{line}: {error}"));
        }
        for line in [
            "swapcall claim",
            "swapcall kit",
            "swapcall kit show.toml --example",
            "swapcall watch BOW2 --http-map mode=/rec",
            "swapcall watch BOW2 --http http://c/ --http-map mode=rec",
            "swapcall watch BOW2 --mount A=/x --mounts-under /media",
        ] {
            assert!(Args::try_parse_from(line.split(' ')).is_err(), "{line}");
        }
    }
}
