//! Where a mount is to be found, as it is typed.

use crate::error::LinkError;
use crate::paced::Baud;
use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;

/// The speed that is set on a device where none is named.
const USUAL_BAUD: u32 = 9600;

/// What a client connects to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Address {
    /// A host and a port, over TCP.
    Tcp {
        /// Name or number.
        host: String,
        /// Port.
        port: u16,
    },
    /// A serial device or a pseudo-terminal.
    Device {
        /// Its path.
        path: PathBuf,
        /// The speed to set on it.
        baud: Baud,
    },
}

impl FromStr for Address {
    type Err = LinkError;

    /// Reads `host:port` (an address of six parts in brackets) or, if there is a slash in it, a path with or without `@baud`.
    fn from_str(text: &str) -> Result<Self, LinkError> {
        let bad = |problem| LinkError::Address { text: text.to_owned(), problem };
        if text.contains('/') {
            let (path, baud) = match text.rsplit_once('@') {
                Some((path, baud)) => (path, baud.parse()?),
                None => (text, usual_baud()),
            };
            return Ok(Self::Device { path: PathBuf::from(path), baud });
        }
        let (host, port) = text.rsplit_once(':').ok_or_else(|| bad("there is no port"))?;
        let port = port.parse().map_err(|_| bad("the port is no number from 1 to 65535"))?;
        let host = host.strip_prefix('[').and_then(|host| host.strip_suffix(']')).unwrap_or(host);
        if host.is_empty() || port == 0 {
            return Err(bad("the host or the port is missing"));
        }
        Ok(Self::Tcp { host: host.to_owned(), port })
    }
}

fn usual_baud() -> Baud {
    Baud::new(USUAL_BAUD).unwrap_or_else(|| unreachable!("{USUAL_BAUD} is a speed"))
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tcp { host, port } if host.contains(':') => write!(f, "[{host}]:{port}"),
            Self::Tcp { host, port } => write!(f, "{host}:{port}"),
            Self::Device { path, .. } => write!(f, "{}", path.display()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses() {
        let read = |text: &str| text.parse::<Address>().map(|address| address.to_string());
        assert_eq!(read("localhost:20530").unwrap(), "localhost:20530");
        assert_eq!(read("[::1]:20530").unwrap(), "[::1]:20530");
        assert_eq!(read("./mount").unwrap(), "./mount");
        let Ok(Address::Device { path, baud }) = "/dev/ttyUSB0@115200".parse() else { panic!("a device") };
        assert_eq!((path, baud.bits_per_second()), (PathBuf::from("/dev/ttyUSB0"), 115_200));
        for bad in ["", "localhost", "localhost:0", ":80", "localhost:x", "/dev/tty@fast", "/dev/tty@1"] {
            assert!(bad.parse::<Address>().is_err(), "{bad}");
        }
    }
}
