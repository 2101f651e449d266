//! A serial line's own pace: so many bits a second, small buffers, and rubbish where the ends disagree.

use crate::error::LinkError;
use faults::SpeedMismatch;
use std::str::FromStr;
use std::{fmt, io};
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt, DuplexStream, ReadHalf, WriteHalf};
use tokio::time::{Duration, Instant};
use units::Stream;

/// Bits on the line for each byte: a start bit, eight data bits, no parity, a stop bit.
const BITS_PER_BYTE: u32 = 10;
/// The device's own buffer, each way: a longest line and its answer fit, a flood doesn't.
const DEVICE_BUFFER_BYTES: usize = 512;
/// Bytes are carried in groups of about this much time, the finest that the timer serves well.
const GROUP: Duration = Duration::from_millis(4);

/// The speed of a serial line, bits per second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Baud(u32);

impl Baud {
    /// A speed from 300 to 921 600 bits per second.
    pub fn new(bits_per_second: u32) -> Option<Self> {
        (300..=921_600).contains(&bits_per_second).then_some(Self(bits_per_second))
    }

    /// Bits per second.
    pub fn bits_per_second(self) -> u32 {
        self.0
    }

    /// How long a number of bytes takes.
    pub fn time_of(self, bytes: usize) -> Duration {
        Duration::from_secs_f64(bytes as f64 * f64::from(BITS_PER_BYTE) / f64::from(self.0))
    }
}

impl FromStr for Baud {
    type Err = LinkError;
    fn from_str(text: &str) -> Result<Self, LinkError> {
        text.parse().ok().and_then(Self::new).ok_or_else(|| LinkError::Baud { text: text.to_owned() })
    }
}

impl fmt::Display for Baud {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// Puts a serial line between a stream and the device: hand the returned end to the server.
///
/// Bytes pass at the line's pace times `hurry` (how many times as fast as the wall the device's clock runs). What comes in
/// while the device's buffer is full is lost, as in a real one; what the device says waits in a buffer as small. Where the
/// client has set another speed than the line's (`client_speed`, asked for each group of bytes; `None` if nobody can know),
/// both directions carry what a receiver samples of the wrong speed. The carrying ends with either end.
pub fn paced<S>(
    stream: S,
    baud: Baud,
    hurry: f64,
    client_speed: impl Fn() -> Option<u32> + Clone + Send + 'static,
    noise: [Stream; 2],
) -> DuplexStream
where
    S: AsyncRead + AsyncWrite + Send + 'static,
{
    let (device, line) = tokio::io::duplex(DEVICE_BUFFER_BYTES);
    let [noise_in, noise_out] = noise.map(SpeedMismatch::new);
    let (client_in, client_out) = tokio::io::split(stream);
    let (line_in, line_out) = tokio::io::split(line);
    let asked = client_speed.clone();
    tokio::spawn(async move {
        tokio::select! {
            end = inward(client_in, line_out, Pace::new(baud, hurry), asked, noise_in) => end,
            end = outward(line_in, client_out, Pace::new(baud, hurry), client_speed, noise_out) => end,
        }
        .unwrap_or_else(|error| tracing::debug!(%error, "a serial line broke"));
    });
    device
}

/// A timer may be as late as this; a longer gap is a line that had nothing to carry.
const TIMER_LATENESS: Duration = Duration::from_millis(3);

/// When the line is free for the next bytes.
struct Pace {
    baud: Baud,
    hurry: f64,
    free: Instant,
}

impl Pace {
    fn new(baud: Baud, hurry: f64) -> Self {
        Self { baud, hurry, free: Instant::now() }
    }

    /// How many bytes are carried as one group.
    fn group(&self) -> usize {
        let one = self.baud.time_of(1).as_secs_f64() / self.hurry;
        ((GROUP.as_secs_f64() / one) as usize).clamp(1, DEVICE_BUFFER_BYTES)
    }

    /// Waits until a number of bytes has passed, after the line had nothing to carry for a time. Time without bytes is not
    /// saved up, but what the timer was late is made good.
    async fn pass(&mut self, bytes: usize) {
        let now = Instant::now();
        if now > self.free + TIMER_LATENESS {
            self.free = now;
        }
        self.free += self.baud.time_of(bytes).div_f64(self.hurry);
        tokio::time::sleep_until(self.free).await;
    }
}

/// From the client to the device.
async fn inward<S: AsyncRead>(
    mut client: ReadHalf<S>,
    mut device: WriteHalf<DuplexStream>,
    mut pace: Pace,
    client_speed: impl Fn() -> Option<u32>,
    mut noise: SpeedMismatch,
) -> io::Result<()> {
    let mut group = vec![0; pace.group()];
    loop {
        let count = client.read(&mut group).await?;
        if count == 0 {
            return Ok(());
        }
        pace.pass(count).await;
        let own = pace.baud.bits_per_second();
        let bytes = noise.received(&group[..count], client_speed().unwrap_or(own), own);
        let mut rest = &bytes[..];
        while !rest.is_empty() {
            // What the device's buffer can't take at this moment is lost: the line doesn't wait.
            tokio::select! {
                biased;
                written = device.write(rest) => rest = &rest[written?..],
                () = std::future::ready(()) => {
                    tracing::debug!(bytes = rest.len(), "the device's buffer ran over");
                    break;
                }
            }
        }
    }
}

/// From the device to the client.
async fn outward<S: AsyncWrite>(
    mut device: ReadHalf<DuplexStream>,
    mut client: WriteHalf<S>,
    mut pace: Pace,
    client_speed: impl Fn() -> Option<u32>,
    mut noise: SpeedMismatch,
) -> io::Result<()> {
    let mut group = vec![0; pace.group()];
    loop {
        let count = device.read(&mut group).await?;
        if count == 0 {
            return client.shutdown().await;
        }
        pace.pass(count).await;
        let own = pace.baud.bits_per_second();
        let bytes = noise.received(&group[..count], own, client_speed().unwrap_or(own));
        client.write_all(&bytes).await?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Streams;

    fn noise() -> [Stream; 2] {
        [0, 1].map(|index| Streams::new(7).stream("line noise", index))
    }

    #[tokio::test(start_paused = true)]
    async fn nine_hundred_and_sixty_bytes_take_a_second_at_9600() {
        let baud = Baud::new(9600).expect("a speed");
        let (mut client, outer) = tokio::io::duplex(4096);
        let mut device = paced(outer, baud, 1.0, || None, noise());
        let begun = Instant::now();
        let writer = tokio::spawn(async move {
            client.write_all(&[b'a'; 960]).await.expect("the pipe holds it");
            client
        });
        let mut bytes = vec![0; 960];
        device.read_exact(&mut bytes).await.expect("all bytes arrive");
        // The timer's grain is a millisecond, and it never fires early.
        let seconds = begun.elapsed().as_secs_f64();
        assert!((1.0..1.003).contains(&seconds), "{seconds}");
        drop(writer);
    }

    #[tokio::test(start_paused = true)]
    async fn a_flood_runs_over_the_small_buffer_and_nothing_waits_for_it() {
        let baud = Baud::new(9600).expect("a speed");
        let (mut client, outer) = tokio::io::duplex(8192);
        let mut device = paced(outer, baud, 1.0, || None, noise());
        client.write_all(&[b'a'; 2000]).await.expect("the pipe holds it");
        tokio::time::sleep(Duration::from_secs(3)).await;
        let mut bytes = vec![0; 4096];
        let count = device.read(&mut bytes).await.expect("some bytes");
        assert_eq!(count, DEVICE_BUFFER_BYTES);
    }

    #[tokio::test(start_paused = true)]
    async fn a_wrong_speed_makes_rubbish_both_ways() {
        let baud = Baud::new(9600).expect("a speed");
        let (mut client, outer) = tokio::io::duplex(4096);
        let mut device = paced(outer, baud, 1.0, || Some(4800), noise());
        client.write_all(b"status\n").await.expect("the pipe holds it");
        let mut bytes = vec![0; 64];
        let count = device.read(&mut bytes).await.expect("some bytes");
        assert_ne!(&bytes[..count], b"status\n");
        device.write_all(b"ok\n").await.expect("the buffer holds it");
        let count = client.read(&mut bytes).await.expect("some bytes");
        assert_ne!(&bytes[..count], b"ok\n");
    }
}
