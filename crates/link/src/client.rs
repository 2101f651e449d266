//! A client: typed requests out, replies by their tags and events as they come.

mod carrier;
mod stream;

use crate::address::Address;
use crate::error::LinkError;
use crate::gate::Token;
pub(crate) use carrier::first_number;
use carrier::{Carrier, Command};
use protocol::{RawRequest, Request};
use std::fmt;
pub use stream::AnyStream;
pub(crate) use stream::open;
use tokio::sync::{broadcast, mpsc, oneshot};
use tokio::time::Duration;

/// Events that a subscriber may be behind before it loses some.
const EVENTS_KEPT: usize = 256;
/// Requests that may wait to be sent.
const REQUESTS_KEPT: usize = 64;

/// How a client behaves.
#[derive(Clone, Debug)]
pub struct ClientOptions {
    /// What the server wants to be shown first, if it does.
    pub token: Option<Token>,
    /// How long a reply may take, a lost connection included.
    pub timeout: Duration,
    /// Whether a lost connection is made again. Requests that do the same when they are sent twice are sent again then; the
    /// others end with [`ClientError::ReplyLost`].
    pub reconnect: bool,
    /// Whether every line carries a check, which makes the mount answer with one.
    pub check: bool,
    /// For lines on which bytes get lost: after so long without a reply, what may be sent twice on the same connection is.
    /// Those are the requests that change nothing, `stop`, and motions with a sequence number.
    pub repeat_after: Option<Duration>,
    /// Whether motions get a sequence number, so that they may be repeated.
    pub number_motions: bool,
}

impl Default for ClientOptions {
    fn default() -> Self {
        Self {
            token: None,
            timeout: Duration::from_secs(10),
            reconnect: true,
            check: false,
            repeat_after: None,
            number_motions: false,
        }
    }
}

/// Why a request got no good answer.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ClientError {
    /// The mount refused; nothing has changed.
    #[error("refused: {sentence} ({number} {word})")]
    Refused {
        /// The refusal's number.
        number: u16,
        /// Its word.
        word: String,
        /// Its sentence.
        sentence: String,
    },
    /// No reply within [`ClientOptions::timeout`].
    #[error("no reply in time")]
    Timeout,
    /// The connection broke between the request and its reply: it may have been obeyed. Ask before sending it again.
    #[error("the connection broke before the reply came; the request may have been obeyed")]
    ReplyLost,
    /// The connection is closed.
    #[error("the connection is closed")]
    Closed,
    /// A line that the language doesn't allow: not sent.
    #[error("not sent: {0}")]
    Unsendable(String),
}

/// The pairs of a reply that was `ok`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer(Vec<(String, String)>);

impl Answer {
    /// The value of a key, with its unit.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.0.iter().find(|(name, _)| name == key).map(|(_, value)| value.as_str())
    }

    /// All pairs in their order.
    pub fn pairs(&self) -> &[(String, String)] {
        &self.0
    }
}

/// Something that the mount told without being asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Its word, such as `arrived`.
    pub word: String,
    /// Its pairs.
    pub pairs: Vec<(String, String)>,
}

impl Event {
    /// The value of a key, with its unit.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.pairs.iter().find(|(name, _)| name == key).map(|(_, value)| value.as_str())
    }
}

impl fmt::Display for Event {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.word)?;
        self.pairs.iter().try_for_each(|(key, value)| write!(f, " {key}={value}"))
    }
}

/// A connection to a mount. Clones share it; it closes when the last is dropped.
#[derive(Clone, Debug)]
pub struct Client {
    commands: mpsc::Sender<Command>,
    events: broadcast::Sender<Event>,
    options: ClientOptions,
}

impl Client {
    /// Connects, and shows the token if there is one.
    ///
    /// # Errors
    /// Nobody there.
    pub async fn connect(address: &Address, options: ClientOptions) -> Result<Self, LinkError> {
        let stream = open(address).await?;
        Ok(Self::begin(stream, Some(address.clone()), options))
    }

    /// Speaks over a stream that is there already, such as an in-memory pipe. It can't be made again when it breaks.
    pub fn over(stream: impl AnyStream + 'static, options: ClientOptions) -> Self {
        Self::begin(Box::new(stream), None, options)
    }

    fn begin(stream: Box<dyn AnyStream>, again: Option<Address>, options: ClientOptions) -> Self {
        let (commands, received) = mpsc::channel(REQUESTS_KEPT);
        let (events, _) = broadcast::channel(EVENTS_KEPT);
        let again = again.filter(|_| options.reconnect);
        tokio::spawn(Carrier::new(again, options.clone(), events.clone()).run(stream, received));
        Self { commands, events, options }
    }

    /// Sends a request and waits for its reply.
    ///
    /// # Errors
    /// A refusal, or what kept the reply from coming.
    pub async fn ask(&self, request: &Request) -> Result<Answer, ClientError> {
        self.send(request.to_raw(None)).await
    }

    /// Sends a line as it would be typed, without a tag or a check, and waits for its reply.
    ///
    /// # Errors
    /// A line that can't be read, a refusal, or what kept the reply from coming.
    pub async fn request(&self, line: &str) -> Result<Answer, ClientError> {
        let raw = RawRequest::read(line)
            .map_err(|(_, refusal)| ClientError::Unsendable(refusal.sentence().to_owned()))?;
        self.send(raw).await
    }

    async fn send(&self, request: RawRequest) -> Result<Answer, ClientError> {
        let (reply, answered) = oneshot::channel();
        let command = Command { request, reply };
        self.commands.send(command).await.map_err(|_| ClientError::Closed)?;
        match tokio::time::timeout(self.options.timeout, answered).await {
            Err(_) => Err(ClientError::Timeout),
            Ok(Err(_)) => Err(ClientError::Closed),
            Ok(Ok(result)) => result.map(Answer),
        }
    }

    /// The events from now on.
    pub fn events(&self) -> broadcast::Receiver<Event> {
        self.events.subscribe()
    }

    /// Sends a request that begins a job and waits for the event that ends it, at most `within`. If the connection breaks in
    /// between, the event may be missed: after a timeout, ask for `jobs`.
    ///
    /// # Errors
    /// As [`Client::request`]; [`ClientError::Timeout`] if the job goes on for longer.
    pub async fn finish(&self, line: &str, within: Duration) -> Result<Event, ClientError> {
        // Subscribed before it is begun: a short job may end before its reply is read.
        let mut events = self.events();
        let answer = self.request(line).await?;
        let job =
            answer.get("job").ok_or(ClientError::Unsendable(format!("`{line}` begins no job")))?.to_owned();
        let ended = async {
            loop {
                match events.recv().await {
                    Ok(event) if event.get("job") == Some(job.as_str()) => return Ok(event),
                    Ok(_) | Err(broadcast::error::RecvError::Lagged(_)) => {}
                    Err(broadcast::error::RecvError::Closed) => return Err(ClientError::Closed),
                }
            }
        };
        tokio::time::timeout(within, ended).await.unwrap_or(Err(ClientError::Timeout))
    }
}
