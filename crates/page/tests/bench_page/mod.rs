//! A page on a port of its own, and clients of it that know HTTP by hand.

use bench::live::Live;
use futures_util::StreamExt;
use link::{Handle, Limits as LinkLimits, Server};
use page::{Lesson, Limits, Page, Tokens};
use serde_json::Value;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::watch;
use tokio_tungstenite::WebSocketStream;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::client::IntoClientRequest;

/// Generous: a busy machine is no failure.
pub const PATIENCE: Duration = Duration::from_secs(60);

pub const NIGHT: &str = r#"
format = 1
[night]
title = "A night of the tests"
begin = 2027-03-06T20:30:00+01:00
length = "5 h"
[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
[mount]
kind = "german-equatorial"
grade = "mid-range"
"#;

/// A page that is served until it is dropped.
pub struct Served {
    pub address: SocketAddr,
    pub handle: Handle<Live>,
    _server: Server<Live>,
    _ending: watch::Sender<bool>,
}

pub async fn served(tokens: Tokens, limits: Limits) -> Served {
    let live = Live::new(bench::live::read_night(NIGHT).expect("a good night"));
    let server = Server::start_at(live, Live::now, 1.0, LinkLimits::default());
    let listener = link::bind("127.0.0.1:0".parse().expect("an address"), false, None).await.expect("a port");
    let address = listener.local_addr().expect("an address");
    let (ending, watched) = watch::channel(false);
    let page = Page { tokens, limits, lessons: Lesson::built_in(), ..Page::default() };
    tokio::spawn(page::serve(listener, server.handle(), page, watched));
    Served { address, handle: server.handle(), _server: server, _ending: ending }
}

pub async fn open() -> Served {
    served(Tokens::default(), Limits::default()).await
}

/// Status and whole text of an answer to a request that is written by hand.
pub async fn raw(address: SocketAddr, request: &str) -> (u16, String) {
    let mut stream = TcpStream::connect(address).await.expect("somebody listens");
    stream.write_all(request.as_bytes()).await.expect("it can be sent");
    let mut answer = Vec::new();
    // A connection may stay open after its answer.
    let mut chunk = [0; 16384];
    loop {
        match tokio::time::timeout(PATIENCE, stream.read(&mut chunk)).await.expect("an answer in time") {
            Ok(0) | Err(_) => break,
            Ok(count) => answer.extend_from_slice(&chunk[..count]),
        }
        if is_whole(&answer) {
            break;
        }
    }
    let text = String::from_utf8_lossy(&answer).into_owned();
    let status = text.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
    (status, text)
}

/// Whether an answer has its head, and as much of a body as that says.
fn is_whole(answer: &[u8]) -> bool {
    let text = String::from_utf8_lossy(answer);
    let Some((head, body)) = text.split_once("\r\n\r\n") else { return false };
    let length = head.lines().find_map(|line| line.strip_prefix("content-length: "));
    let length: usize = length.and_then(|length| length.parse().ok()).unwrap_or(0);
    head.starts_with("HTTP/1.1 101") || body.len() >= length
}

impl Served {
    pub fn host(&self) -> String {
        self.address.to_string()
    }

    pub async fn get(&self, path: &str, headers: &str) -> (u16, String) {
        let request =
            format!("GET {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n{headers}\r\n", self.host());
        raw(self.address, &request).await
    }

    pub async fn act(&self, pass: &str, action: &Value) -> (u16, Value) {
        let body = action.to_string();
        let request = format!(
            "POST /act HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\nconnection: close\r\ncontent-type: application/json\r\n\
             x-nightbench-pass: {pass}\r\ncontent-length: {}\r\n\r\n{body}",
            body.len(),
            host = self.host()
        );
        let (status, text) = raw(self.address, &request).await;
        let body = text.split_once("\r\n\r\n").map_or("", |(_, body)| body);
        (status, serde_json::from_str(body).unwrap_or(Value::Null))
    }

    pub async fn client(&self, token: Option<&str>) -> Client {
        let mut request = format!("ws://{}/feed", self.host()).into_client_request().expect("a request");
        let headers = request.headers_mut();
        headers.insert("origin", format!("http://{}", self.host()).parse().expect("a header"));
        let offered =
            token.map_or("nightbench-page".to_owned(), |token| format!("nightbench-page, token.{token}"));
        headers.insert("sec-websocket-protocol", offered.parse().expect("a header"));
        let stream = TcpStream::connect(self.address).await.expect("somebody listens");
        let (socket, _) = tokio_tungstenite::client_async(request, stream).await.expect("it lets us in");
        let mut client = Client { socket, pass: String::new(), number: 0 };
        let hello = client.next("hello").await;
        client.pass = hello["pass"].as_str().expect("a pass").to_owned();
        client.number = hello["number"].as_u64().expect("a number");
        client
    }
}

pub struct Client {
    pub socket: WebSocketStream<TcpStream>,
    pub pass: String,
    pub number: u64,
}

impl Client {
    /// The next message of a kind; none once the connection is over.
    pub async fn try_next(&mut self, kind: &str) -> Option<Value> {
        loop {
            let message =
                tokio::time::timeout(PATIENCE, self.socket.next()).await.expect("a message in time")?;
            let Ok(Message::Text(text)) = message else { continue };
            let value: Value = serde_json::from_str(&text).expect("the feed speaks JSON");
            if value["kind"] == kind {
                return Some(value);
            }
        }
    }

    pub async fn next(&mut self, kind: &str) -> Value {
        self.try_next(kind).await.expect("the feed goes on")
    }

    /// Waits until a message of a kind fulfils something.
    pub async fn until(&mut self, kind: &str, fulfils: impl Fn(&Value) -> bool) -> Value {
        loop {
            let value = self.next(kind).await;
            if fulfils(&value) {
                return value;
            }
        }
    }
}
