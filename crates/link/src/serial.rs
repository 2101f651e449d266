//! Real serial devices.

use crate::error::LinkError;
use crate::paced::Baud;
use std::path::Path;
use tokio_serial::{SerialPortBuilderExt, SerialStream};

/// Opens a device at a speed: eight data bits, no parity, one stop bit, no flow control, nobody else on it.
///
/// # Errors
/// What the system said.
pub fn open_serial(path: &Path, baud: Baud) -> Result<SerialStream, LinkError> {
    let name = path.display().to_string();
    tokio_serial::new(&name, baud.bits_per_second())
        .open_native_async()
        .map_err(|error| LinkError::Serial { path: name, problem: error.to_string() })
}
