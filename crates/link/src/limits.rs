//! What a connection may take.

use tokio::time::Duration;

/// Bounds that hold for every connection of a server. Each that is exceeded ends the connection with a [`crate::Reason`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Connections at once over TCP, 1 to 500.
    pub connections: usize,
    /// While more bytes than this wait to be sent, nothing more is taken from the client.
    pub output_high: usize,
    /// More bytes than this waiting to be sent (events, to a client that doesn't read) end the connection.
    pub output_most: usize,
    /// How long bytes may wait without one being taken.
    pub stalled: Duration,
    /// How long a begun line may take, on TCP.
    pub line: Duration,
    /// How long a connection over TCP may say nothing.
    pub idle: Duration,
    /// How long a connection may take to show its token.
    pub token: Duration,
}

impl Limits {
    /// The greatest number of connections that may be asked for.
    pub const CONNECTIONS_MOST: usize = 500;
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            connections: 32,
            output_high: 64 * 1024,
            output_most: 256 * 1024,
            stalled: Duration::from_secs(20),
            line: Duration::from_secs(60),
            idle: Duration::from_secs(3600),
            token: Duration::from_secs(10),
        }
    }
}
