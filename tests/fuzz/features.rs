//! Empty, and built together with the fuzz targets: only where an example or a test is among what is built does cargo
//! count the features that dev-dependencies ask for. Without it tokio and serde had fewer of them than in every other
//! step, and a good part of other people's crates would be compiled once more.
