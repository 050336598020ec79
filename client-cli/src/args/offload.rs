//! Flags of `offload`.

use std::path::PathBuf;

use clap::Args;

use crate::offload::Job;
use crate::offload::algorithm::Algorithm;

/// Flags of `offload`.
#[derive(Debug, Args)]
pub struct OffloadArgs {
    /// The folder of the card
    #[arg(value_name = "CARD_DIR")]
    pub folder: PathBuf,
    /// Where the copies go, each on a disk of its own; only the last folder of a path is made
    #[arg(value_name = "DEST", required = true, num_args = 1..=16)]
    pub places: Vec<PathBuf>,
    /// Label of the card: the hub is told that it is being copied, and what came of it
    #[arg(long, value_name = "LABEL")]
    pub card: Option<String>,
    /// How many copies have to be proved before the card is safe
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = clap::value_parser!(u8).range(1..=16))]
    pub copies: u8,
    /// How to hash; several with commas
    #[arg(
        long,
        value_name = "NAME",
        value_enum,
        value_delimiter = ',',
        default_value = "xxh64"
    )]
    pub hash: Vec<Algorithm>,
}

impl OffloadArgs {
    /// What is asked for.
    pub fn job(&self) -> Job {
        Job {
            card: self.folder.clone(),
            places: self.places.clone(),
            copies: self.copies.into(),
            algorithms: self.hash.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use crate::args::{Args, Task};
    use crate::offload::algorithm::Algorithm;

    #[test]
    fn a_card_goes_to_places_and_two_copies_are_wanted() {
        let job = |line: &str| {
            let args = Args::try_parse_from(line.split(' ')).map_err(|error| error.to_string())?;
            let Task::Offload(args) = args.task else {
                return Err("another command".to_owned());
            };
            Ok(args.job())
        };
        let plain = job("swapcall offload /card /a /b --card C12").unwrap();
        assert_eq!((plain.places.len(), plain.copies), (2, 2));
        assert_eq!(plain.algorithms, [Algorithm::Xxh64]);
        let more = job("swapcall offload /card /a --copies 1 --hash md5,c4").unwrap();
        assert_eq!(more.algorithms, [Algorithm::Md5, Algorithm::C4]);
        for bad in ["/card", "/card /a --copies 0", "/card /a --hash crc32"] {
            assert!(job(&format!("swapcall offload {bad}")).is_err(), "{bad}");
        }
    }
}
