//! Whatever a client can speak over.

use crate::address::Address;
use crate::error::LinkError;
use crate::serial::open_serial;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio::time::Duration;

/// How long making a connection may take.
const CONNECT_WITHIN: Duration = Duration::from_secs(10);

/// Anything that carries bytes both ways.
pub trait AnyStream: AsyncRead + AsyncWrite + Send + Unpin {}

impl<T: AsyncRead + AsyncWrite + Send + Unpin> AnyStream for T {}

/// Connects to an address.
pub(crate) async fn open(address: &Address) -> Result<Box<dyn AnyStream>, LinkError> {
    match address {
        Address::Device { path, baud } => Ok(Box::new(open_serial(path, *baud)?)),
        Address::Tcp { host, port } => {
            let failed = |source| LinkError::Connect { address: address.to_string(), source };
            let connecting = TcpStream::connect((host.as_str(), *port));
            let stream = tokio::time::timeout(CONNECT_WITHIN, connecting)
                .await
                .map_err(|late| failed(late.into()))?
                .map_err(failed)?;
            stream.set_nodelay(true).map_err(failed)?;
            Ok(Box::new(stream))
        }
    }
}
