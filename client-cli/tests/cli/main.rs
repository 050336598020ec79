//! The command as its users have it: the real binary against a small hub on a real socket.

#[cfg(test)]
mod cart;
#[cfg(test)]
mod fake_hub;
#[cfg(test)]
mod json;
#[cfg(test)]
mod kit;
#[cfg(test)]
mod kit_sum;
#[cfg(test)]
mod lead;
#[cfg(test)]
mod offload;
#[cfg(test)]
mod replay;
#[cfg(test)]
mod request;
#[cfg(test)]
mod service;
#[cfg(test)]
mod typed;
#[cfg(test)]
mod views;
#[cfg(test)]
mod watch;
