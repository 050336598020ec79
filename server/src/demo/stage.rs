//! A hub with carts and runners around it, put up and taken down.

use std::path::Path;
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;

use swapcall_desk::{SystemClock, Upkeep};
use swapcall_http::{Encryption, TallyPorts};
use swapcall_wire::{NewToken, Role, Rundown, TokenCreated, UnitView};
use tokio::net::TcpListener;
use tokio::sync::oneshot;

use super::carts::{Cart, SharedWorld};
use super::chance::Chance;
use super::course::Position;
use super::mixer::Mixer;
use super::pace::Pace;
use super::runners::{self, Runner};
use super::running_order::rundown;
use super::store::{self, Store};
use super::teller;
use super::world::World;
use crate::config::Config;
use crate::remote::Remote;
use crate::{Hub, HubError, Settings, start, zone};

/// How long everything may take to end; the promise is two seconds.
const ENDS_WITHIN: Duration = Duration::from_millis(700);
/// Streams of chance beyond those of the units.
const RUNNERS_STREAM: u64 = 1_000;
const MIXER_STREAM: u64 = 2_000;

/// What is played.
#[derive(Clone, Debug)]
pub(crate) struct Play {
    /// Regatta seconds per real second.
    pub(crate) speed: f64,
    /// Chance.
    pub(crate) seed: u64,
    /// How many units.
    pub(crate) units: usize,
    /// How many runners.
    pub(crate) runners: usize,
    /// Real time between two reports of a cart.
    pub(crate) report_every: Duration,
}

/// A hub with carts and runners at work.
pub(crate) struct Stage {
    /// The hub.
    pub(crate) hub: Hub,
    /// The hub's address as a browser or script uses it.
    pub(crate) base: String,
    /// The owner's token.
    pub(crate) owner: String,
    /// A lead's token, for the screen.
    pub(crate) lead: String,
    pace: Arc<Pace>,
    world: SharedWorld,
    runners: Vec<String>,
    threads: Vec<JoinHandle<()>>,
    stop_hub: oneshot::Sender<()>,
}

/// Everybody's tokens, in order.
struct Passes {
    carts: Vec<String>,
    runners: Vec<String>,
    lead: String,
    mixer: String,
    store: String,
}

impl Stage {
    /// Starts a hub on `folder` and `listener`, registers the units, and sets everybody to work.
    pub(crate) async fn put_up(
        play: &Play,
        folder: &Path,
        listener: TcpListener,
    ) -> Result<Self, HubError> {
        let internal = |error: &dyn std::fmt::Display| HubError::Internal(error.to_string());
        let mut address = listener.local_addr().map_err(|error| internal(&error))?;
        if address.ip().is_unspecified() {
            // Listening everywhere; here is one address that works on this machine.
            address.set_ip(std::net::Ipv4Addr::LOCALHOST.into());
        }
        let base = format!("http://{address}");
        let clock = Arc::new(SystemClock::faster(play.speed));
        let (stop_hub, stopped) = oneshot::channel();
        let settings = Settings {
            store: Config {
                data: folder.to_owned(),
                cache_mib: 16,
                ..Config::default()
            }
            .store(),
            grace: ENDS_WITHIN / 2,
            owner_file: None,
            upkeep: Upkeep::default(),
            encryption: Encryption::Off,
            connections: None,
            time_zone: zone::of_this_machine(),
            tally: TallyPorts::default(),
        };
        let shutdown = async move {
            let _ = stopped.await;
        };
        let hub = start(settings, clock.clone(), listener, shutdown).await?;
        let owner = hub
            .new_owner_token
            .clone()
            .ok_or_else(|| internal(&"the new store has an owner already"))?;
        let remote = Remote::new(&base, &owner);
        let (registering, registered_play) = (remote.clone(), play.clone());
        let passes = tokio::task::spawn_blocking(move || register(&registering, &registered_play))
            .await
            .map_err(|error| internal(&error))??;
        let mut stage = Self {
            hub,
            base,
            owner,
            lead: passes.lead,
            pace: Arc::new(Pace::starting_now(clock)),
            world: Arc::new(Mutex::new(World::new(play.seed, play.units))),
            runners: (0..play.runners).map(runners::name).collect(),
            threads: Vec::new(),
            stop_hub,
        };
        stage.hand_out_rundown(remote).await?;
        stage.send_out_carts(play, passes.carts)?;
        stage.send_out_runners(play, passes.runners)?;
        stage.put_to_work_the_mixer(play, passes.mixer)?;
        stage.open_the_store(play, passes.store)?;
        Ok(stage)
    }

    /// The lead tells the hub the running order.
    async fn hand_out_rundown(&self, lead: Remote) -> Result<(), HubError> {
        let rundown = rundown(self.pace.began());
        let put = move || lead.put::<_, Rundown>("/v1/rundown", &rundown)?.or_error();
        tokio::task::spawn_blocking(put)
            .await
            .map_err(|error| HubError::Internal(error.to_string()))?
            .map(drop)
    }

    fn send_out_carts(&mut self, play: &Play, tokens: Vec<String>) -> Result<(), HubError> {
        let count = tokens.len().max(1);
        for (index, token) in tokens.into_iter().enumerate() {
            let cart = Cart {
                index,
                remote: Remote::new(&self.base, token),
                every: play.report_every,
            };
            let delay = play.report_every.mul_f64(index as f64 / count as f64);
            let (world, pace) = (Arc::clone(&self.world), Arc::clone(&self.pace));
            self.spawn("cart", move || cart.run(&world, &pace, delay))?;
        }
        Ok(())
    }

    fn send_out_runners(&mut self, play: &Play, tokens: Vec<String>) -> Result<(), HubError> {
        for (index, token) in tokens.into_iter().enumerate() {
            let runner = Runner {
                name: runners::name(index),
                remote: Remote::new(&self.base, token),
                chance: Chance::new(play.seed, RUNNERS_STREAM + index as u64),
            };
            let (world, pace) = (Arc::clone(&self.world), Arc::clone(&self.pace));
            self.spawn("runner", move || runner.run(&world, &pace))?;
        }
        Ok(())
    }

    fn put_to_work_the_mixer(&mut self, play: &Play, token: String) -> Result<(), HubError> {
        let mixer = Mixer {
            remote: Remote::new(&self.base, token),
            chance: Chance::new(play.seed, MIXER_STREAM),
        };
        let (world, pace) = (Arc::clone(&self.world), Arc::clone(&self.pace));
        self.spawn("mixer", move || mixer.run(&world, &pace))
    }

    fn open_the_store(&mut self, play: &Play, token: String) -> Result<(), HubError> {
        let store = Store::new(Remote::new(&self.base, token), play.units);
        let pace = Arc::clone(&self.pace);
        self.spawn("store", move || store.run(&pace))
    }

    /// Tells on the terminal what happens.
    pub(crate) fn tell(&mut self) -> Result<(), HubError> {
        let remote = Remote::new(&self.base, &self.owner);
        let (world, pace) = (Arc::clone(&self.world), Arc::clone(&self.pace));
        let runners = self.runners.clone();
        self.spawn("teller", move || {
            teller::run(&remote, &world, &pace, &runners);
        })
    }

    fn spawn(&mut self, name: &str, work: impl FnOnce() + Send + 'static) -> Result<(), HubError> {
        let thread = std::thread::Builder::new()
            .name(format!("demo-{name}"))
            .spawn(work)
            .map_err(|error| HubError::Internal(format!("no thread for a {name}: {error}")))?;
        self.threads.push(thread);
        Ok(())
    }

    /// Completes when the teller has nobody to tell any more.
    pub(crate) async fn ended(&self) {
        while self.pace.goes_on() {
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
    }

    /// Sends everybody home and stops the hub.
    pub(crate) async fn take_down(self) -> Result<(), HubError> {
        self.pace.stop();
        let threads = self.threads;
        let home = tokio::task::spawn_blocking(move || {
            for thread in threads {
                // A thread that failed has said so on stderr.
                let _ = thread.join();
            }
        });
        // Nobody who hangs may hold up the end.
        let _ = tokio::time::timeout(ENDS_WITHIN, home).await;
        let _ = self.stop_hub.send(());
        tokio::time::timeout(ENDS_WITHIN, self.hub.stopped())
            .await
            .unwrap_or(Ok(()))
    }
}

/// Registers the units and makes everybody's tokens, as the owner, through the API.
fn register(owner: &Remote, play: &Play) -> Result<Passes, HubError> {
    let token = |name: String, role: Role, units: Vec<String>| -> Result<String, HubError> {
        let new = NewToken { name, role, units };
        let created: TokenCreated = owner.post("/v1/tokens", &new)?.or_error()?;
        Ok(created.token)
    };
    let mut passes = Passes {
        carts: Vec::new(),
        runners: Vec::new(),
        lead: token("lead".to_owned(), Role::Lead, Vec::new())?,
        // A cart of every unit: it says what is on air, and no more.
        mixer: token("vision mixer".to_owned(), Role::Cart, Vec::new())?,
        store: token("base".to_owned(), Role::Runner, Vec::new())?,
    };
    for index in 0..play.units {
        let (position, callsign) = Position::numbered(index);
        let path = format!("/v1/units/{callsign}");
        owner
            .put::<_, UnitView>(&path, &position.profile())?
            .or_error()?;
        passes.carts.push(token(
            format!("cart {callsign}"),
            Role::Cart,
            vec![callsign],
        )?);
    }
    store::lay_out(owner, play.units)?;
    for index in 0..play.runners {
        passes
            .runners
            .push(token(runners::name(index), Role::Runner, Vec::new())?);
    }
    Ok(passes)
}
