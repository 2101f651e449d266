//! What keeps a link from being made.

use std::io;
use std::net::SocketAddr;

/// Why a server or a client could not begin: what, where, and what to do.
#[derive(Debug, thiserror::Error)]
pub enum LinkError {
    /// A text that names nothing to connect to.
    #[error(
        "`{text}` is no address: {problem}; write host:port, such as 127.0.0.1:20530, or a device's path, with @9600 for its speed"
    )]
    Address {
        /// What was written.
        text: String,
        /// What is wrong with it.
        problem: &'static str,
    },
    /// An address beyond this computer without leave.
    #[error(
        "{address} can be reached from other computers; add --allow-remote and a token if that is meant, or listen on 127.0.0.1"
    )]
    Remote {
        /// Where it would listen.
        address: SocketAddr,
    },
    /// An address beyond this computer without a token.
    #[error(
        "{address} can be reached from other computers, so whoever connects has to show a token; name a file with one by --token-file"
    )]
    TokenNeeded {
        /// Where it would listen.
        address: SocketAddr,
    },
    /// A token that is too easily guessed, or that can't stand in a line.
    #[error("the token {problem}; write at least 16 letters, digits or hyphens, best drawn at random")]
    Token {
        /// What is wrong with it.
        problem: &'static str,
    },
    /// The port is in use.
    #[error("{address} is taken by another program; end that one, or choose another port")]
    Taken {
        /// Where it would listen.
        address: SocketAddr,
    },
    /// Something else keeps the address from being listened at.
    #[error("can't listen at {address}: {source}")]
    Listen {
        /// Where it would listen.
        address: SocketAddr,
        /// What the system said.
        source: io::Error,
    },
    /// Nobody answers.
    #[error("can't connect to {address}: {source}; is the mount switched on, and the address right?")]
    Connect {
        /// Where to.
        address: String,
        /// What the system said.
        source: io::Error,
    },
    /// A serial device that can't be opened.
    #[error("can't open the serial device {path}: {problem}; is it plugged in, and may you use it?")]
    Serial {
        /// The device.
        path: String,
        /// What the system said.
        problem: String,
    },
    /// A speed that no serial line has.
    #[error("`{text}` is no speed of a serial line; write 300 to 921600 bits per second, such as 9600")]
    Baud {
        /// What was written.
        text: String,
    },
    /// The stable path of a pseudo-terminal is in use.
    #[error("there is already something at {path}: {problem}; remove it, or choose another path")]
    PathTaken {
        /// The path.
        path: String,
        /// What is there.
        problem: &'static str,
    },
    /// A pseudo-terminal can't be made.
    #[error("can't make a pseudo-terminal at {path}: {source}")]
    PseudoTerminal {
        /// The path.
        path: String,
        /// What the system said.
        source: io::Error,
    },
}
