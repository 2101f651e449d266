//! The listener over TCP.

use crate::error::LinkError;
use crate::gate::Token;
use std::io;
use std::net::SocketAddr;
use tokio::net::{TcpListener, TcpStream};
use tokio::time::Duration;

/// How long a silent connection is trusted before the system asks whether the other end still lives.
const PROBE_AFTER: Duration = Duration::from_secs(60);
const PROBE_EVERY: Duration = Duration::from_secs(10);
const PROBES: u32 = 3;

/// Listens at an address: one of this computer alone, unless `remote` allows others, which then need a token.
///
/// # Errors
/// A remote address without leave or token, and whatever keeps the system from listening there.
pub async fn bind(
    address: SocketAddr,
    remote: bool,
    token: Option<&Token>,
) -> Result<TcpListener, LinkError> {
    if !address.ip().is_loopback() {
        if !remote {
            return Err(LinkError::Remote { address });
        }
        if token.is_none() {
            return Err(LinkError::TokenNeeded { address });
        }
    }
    TcpListener::bind(address).await.map_err(|source| match source.kind() {
        io::ErrorKind::AddrInUse => LinkError::Taken { address },
        _ => LinkError::Listen { address, source },
    })
}

/// Makes an accepted connection answer at once, and notice when its other end has vanished without a word.
pub(crate) fn prepare(stream: &TcpStream) {
    let asked = stream.set_nodelay(true).and_then(|()| {
        use rustix::net::sockopt;
        sockopt::set_socket_keepalive(stream, true)?;
        sockopt::set_tcp_keepidle(stream, PROBE_AFTER)?;
        sockopt::set_tcp_keepintvl(stream, PROBE_EVERY)?;
        sockopt::set_tcp_keepcnt(stream, PROBES)?;
        Ok(())
    });
    if let Err(error) = asked {
        tracing::debug!(%error, "a connection keeps the system's settings");
    }
}
