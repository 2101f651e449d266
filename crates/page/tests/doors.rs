//! Who is let in, and what a stranger, a viewer, a foreign page or a broken client can do: nothing.

mod bench_page;

use bench_page::{Served, open, raw, served};
use futures_util::SinkExt;
use link::Token;
use page::{Limits, Tokens};
use serde_json::json;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio_tungstenite::tungstenite::Message;

const TEACHER: &str = "teacher-teacher-1";
const VIEWER: &str = "viewer-viewer-123";

fn tokens() -> Tokens {
    let token = |text| Some(Token::new(text).expect("a good token"));
    Tokens { teacher: token(TEACHER), viewer: token(VIEWER) }
}

async fn handshake(served: &Served, host: &str, origin: Option<&str>, token: Option<&str>) -> u16 {
    let origin = origin.map_or(String::new(), |origin| format!("origin: {origin}\r\n"));
    let token = token.map_or(String::new(), |token| format!(", token.{token}"));
    let request = format!(
        "GET /feed HTTP/1.1\r\nhost: {host}\r\n{origin}connection: upgrade\r\nupgrade: websocket\r\nsec-websocket-version: 13\r\n\
         sec-websocket-key: dGhlIHNhbXBsZSBub25jZQ==\r\nsec-websocket-protocol: nightbench-page{token}\r\n\r\n"
    );
    raw(served.address, &request).await.0
}

/// Host, origin and token, right and wrong: only where all three are right does the feed open.
#[tokio::test]
async fn the_feed_opens_to_its_own_page_with_a_token_alone() {
    let served = served(tokens(), Limits::default()).await;
    let host = served.host();
    let own = format!("http://{host}");
    let local = format!("localhost:{}", served.address.port());
    let rows: &[(&str, Option<&str>, Option<&str>, u16)] = &[
        (&host, Some(&own), Some(TEACHER), 101),
        (&host, Some(&own), Some(VIEWER), 101),
        (&host, Some(&own), Some("viewer-viewer-124"), 401),
        (&host, Some(&own), None, 401),
        (&host, Some("http://evil.example"), Some(TEACHER), 403),
        (&host, Some("null"), Some(TEACHER), 403),
        (&host, None, Some(TEACHER), 403),
        (&host, Some("http://evil.example"), None, 403),
        ("evil.example", Some("http://evil.example"), Some(TEACHER), 421),
        ("evil.example", Some(&own), Some(TEACHER), 421),
        ("evil.example", None, None, 421),
        (&local, Some(&own), Some(TEACHER), 403),
        ("127.0.0.1:1", Some("http://127.0.0.1:1"), Some(TEACHER), 421),
    ];
    for (host, origin, token, expected) in rows {
        assert_eq!(handshake(&served, host, *origin, *token).await, *expected, "{host} {origin:?} {token:?}");
    }
}

#[tokio::test]
async fn nothing_changes_by_asking_and_nobody_else_may_act() {
    let served = served(tokens(), Limits::default()).await;
    let (teacher, viewer) = (served.client(Some(TEACHER)).await, served.client(Some(VIEWER)).await);
    let stop = json!({ "do": "stop" });
    let set = json!({ "do": "set", "name": "cone", "value": 5 });
    assert_eq!(served.act(&teacher.pass, &set).await.0, 200);
    for (pass, action, expected) in [
        (viewer.pass.as_str(), &set, 403),
        (viewer.pass.as_str(), &stop, 403),
        ("", &set, 401),
        ("00000000000000000000000000000000", &stop, 401),
        (teacher.pass.as_str(), &json!({ "do": "set", "name": "cone", "value": 1e9 }), 422),
        (teacher.pass.as_str(), &json!({ "do": "set", "name": "cone", "value": 5, "more": 1 }), 422),
        (teacher.pass.as_str(), &json!({ "do": "speed", "value": -1 }), 422),
        (teacher.pass.as_str(), &json!({ "do": "line", "text": "status\nstop" }), 422),
        (teacher.pass.as_str(), &json!({ "do": "scenario", "text": "format = 1" }), 422),
    ] {
        assert_eq!(served.act(pass, action).await.0, expected, "{action}");
    }
    assert_eq!(served.handle.with(|live| live.value_of("cone")), Some(5.0));
    for method in ["GET", "PUT", "DELETE", "OPTIONS"] {
        let request = format!(
            "{method} /act HTTP/1.1\r\nhost: {0}\r\norigin: http://{0}\r\nconnection: close\r\nx-nightbench-pass: {1}\r\n\r\n",
            served.host(),
            teacher.pass
        );
        assert_eq!(raw(served.address, &request).await.0, 405, "{method}");
    }
    // What a form on a foreign page can send: no header of its own, text/plain, another origin.
    let body = stop.to_string();
    for (origin, kind, expected) in [
        ("http://evil.example", "application/json", 403),
        ("null", "text/plain", 403),
        ("", "text/plain", 415),
    ] {
        let own = format!("http://{}", served.host());
        let origin = if origin.is_empty() { own.as_str() } else { origin };
        let request = format!(
            "POST /act HTTP/1.1\r\nhost: {}\r\norigin: {origin}\r\nconnection: close\r\ncontent-type: {kind}\r\nx-nightbench-pass: {}\r\n\
             content-length: {}\r\n\r\n{body}",
            served.host(),
            teacher.pass,
            body.len()
        );
        assert_eq!(raw(served.address, &request).await.0, expected, "{origin} {kind}");
    }
    assert_eq!(served.get("/api/lessons", "").await.0, 401, "what is served needs a pass");
    let shown = served.get("/api/lessons", &format!("x-nightbench-pass: {}\r\n", viewer.pass)).await;
    assert!(shown.0 == 200 && shown.1.contains("backlash"));
}

#[tokio::test]
async fn every_answer_is_strict_about_where_things_come_from() {
    let served = open().await;
    for path in ["/", "/assets/main.js", "/assets/nothing.js", "/nowhere"] {
        let (_, text) = served.get(path, "").await;
        for header in [
            "content-security-policy: default-src 'none'; script-src 'self'; style-src 'self'",
            "frame-ancestors 'none'",
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "cross-origin-resource-policy: same-origin",
        ] {
            assert!(text.contains(header), "{path}: {header}");
        }
        assert!(!text.contains("access-control-allow"), "{path}");
    }
    for path in [
        "/assets/../Cargo.toml",
        "/assets/%2e%2e/Cargo.toml",
        "/assets//etc/passwd",
        "/assets/..%2fsrc%2flib.rs",
    ] {
        assert_eq!(served.get(path, "").await.0, 404, "{path}");
    }
    let tag = served.get("/", "").await.1;
    let tag = tag.lines().find_map(|line| line.strip_prefix("etag: ")).expect("a tag").to_owned();
    assert_eq!(served.get("/", &format!("if-none-match: {tag}\r\n")).await.0, 304);
}

#[tokio::test]
async fn what_a_client_can_take_is_bounded() {
    let served = served(Tokens::default(), Limits { clients: 2, body: 1000, message: 64 }).await;
    let mut one = served.client(None).await;
    let mut two = served.client(None).await;
    let own = format!("http://{}", served.host());
    assert_eq!(handshake(&served, &served.host(), Some(&own), None).await, 503, "a third has no room");
    let large = json!({ "do": "scenario", "text": "x".repeat(2000) });
    assert_eq!(served.act(&one.pass, &large).await.0, 413);
    // Who talks on the feed is shown out; a message that is too long ends the connection as well.
    one.socket.send(Message::text("hello")).await.expect("it can be sent");
    assert!(one.try_next("nothing of this kind").await.is_none());
    two.socket.send(Message::text("x".repeat(100_000))).await.ok();
    assert!(two.try_next("nothing of this kind").await.is_none());
    let request = format!("GET / HTTP/1.1\r\nhost: {}\r\nx: {}\r\n\r\n", served.host(), "x".repeat(100_000));
    assert!(matches!(raw(served.address, &request).await.0, 0 | 431), "a head that is too long");
    assert!(matches!(raw(served.address, "\0\u{1}\u{2} nonsense\r\n\r\n").await.0, 0 | 400));
    served.client(None).await.until("frame", |frame| frame["state"] == "resting").await;
}

/// Somebody who takes nothing holds up nobody, and is not given more memory than a socket has.
#[tokio::test]
async fn a_client_that_does_not_read_holds_up_nobody() {
    let served = open().await;
    let idle = served.client(None).await;
    let mut awake = served.client(None).await;
    let mut half = TcpStream::connect(served.address).await.expect("somebody listens");
    half.write_all(b"GET / HTTP/1.1\r\nhost: ").await.expect("half a head");
    let first = awake.next("frame").await["at"].as_f64().expect("a time");
    for _ in 0..40 {
        awake.next("frame").await;
    }
    assert!(awake.next("frame").await["at"].as_f64().expect("a time") > first + 1.0);
    drop(idle);
    // The half head is closed by its deadline, not kept for ever.
    let mut rest = Vec::new();
    tokio::time::timeout(bench_page::PATIENCE, half.read_to_end(&mut rest))
        .await
        .expect("closed in time")
        .ok();
}
