//! Connections over TCP and pipes: what they carry, and what ends them.

mod toy;

use link::{Client, ClientError, ClientOptions, Limits, LinkError, Reason, Server, Token};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::{Duration, Instant};
use toy::{Plain, Toy, over_tcp};
use units::Span;

#[tokio::test]
async fn lines_are_the_same_however_they_are_cut() {
    let (_server, address) = over_tcp(Toy::new(None), Limits::default(), None).await;
    let text = "@1 identify\r\n\n@2 site height=1m\n@3 nonsense\n@4 site\n";
    let mut whole = Plain::connect(address).await;
    whole.send(text).await;
    let mut cut = Plain::connect(address).await;
    let mut expected = Vec::new();
    for _ in 0..4 {
        expected.push(whole.line().await.unwrap());
    }
    for byte in text.bytes() {
        cut.send(&char::from(byte).to_string()).await;
        tokio::task::yield_now().await;
    }
    for line in &expected {
        assert_eq!(cut.line().await.as_ref(), Some(line));
    }
}

#[tokio::test]
async fn a_hundred_thousand_pipelined_requests_get_a_reply_each_in_order() {
    let (_server, address) = over_tcp(Toy::new(None), Limits::default(), None).await;
    let (mut reader, mut writer) = Plain::connect(address).await.stream.into_inner().into_split();
    const COUNT: usize = 100_000;
    let sending = tokio::spawn(async move {
        let text: String = (0..COUNT).map(|number| format!("@{number} axes\n")).collect();
        writer.write_all(text.as_bytes()).await.unwrap();
        writer
    });
    let mut lines = tokio::io::AsyncBufReadExt::lines(tokio::io::BufReader::new(&mut reader));
    for number in 0..COUNT {
        let line = lines.next_line().await.unwrap().unwrap();
        assert!(line.starts_with(&format!("ok @{number} ")), "{line}");
    }
    drop(sending.await.unwrap());
}

#[tokio::test]
async fn events_come_when_they_are_due_to_everybody() {
    let (_server, address) = over_tcp(Toy::new(None), Limits::default(), None).await;
    let (mut one, mut other) = (Plain::connect(address).await, Plain::connect(address).await);
    other.ask("identify").await;
    let begun = Instant::now();
    assert!(one.ask("goto hour_axis=-84deg declination_axis=90deg").await.starts_with("ok job=1 "));
    assert_eq!(one.line().await.unwrap(), "* arrived job=1");
    assert_eq!(other.line().await.unwrap(), "* arrived job=1");
    // Six degrees take 0.3 s and never less; a busy machine may be late.
    assert!(begun.elapsed().as_secs_f64() >= 0.3);
}

#[tokio::test]
async fn who_does_not_read_is_closed_and_slows_nobody() {
    let limits = Limits { stalled: Duration::from_millis(400), ..Limits::default() };
    // Two megabytes a second to each.
    let (server, address) = over_tcp(Toy::chattering(Span::from_seconds(0.0001)), limits, None).await;
    let deaf = TcpStream::connect(address).await.unwrap();
    let mut flooding = TcpStream::connect(address).await.unwrap();
    // A flood of requests whose answers nobody takes: it is the kernel's buffers that fill, not ours.
    let flood = "help goto\n".repeat(200_000);
    let _ = tokio::time::timeout(Duration::from_secs(3), flooding.write_all(flood.as_bytes())).await;
    let polite =
        Client::connect(&address.to_string().parse().unwrap(), ClientOptions::default()).await.unwrap();
    for _ in 0..50 {
        // Who is held up by the deaf ones gets no reply at all within the client's own time.
        polite.request("axes").await.unwrap();
    }
    let until = Instant::now() + Duration::from_secs(60);
    while server.counts().ended.get(&Reason::NotReading).copied().unwrap_or(0) < 2 {
        assert!(Instant::now() < until, "{:?}", server.counts());
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    polite.request("axes").await.unwrap();
    drop(deaf);
}

#[tokio::test]
async fn idle_slow_and_strange_connections_are_told_why_they_end() {
    let limits =
        Limits { idle: Duration::from_millis(300), line: Duration::from_millis(150), ..Limits::default() };
    let (_server, address) = over_tcp(Toy::new(None), limits, None).await;
    let mut idle = Plain::connect(address).await;
    let mut slow = Plain::connect(address).await;
    slow.send("ident").await;
    assert_eq!(slow.line().await.unwrap(), "* closing reason=slow-line");
    assert_eq!(slow.line().await, None);
    assert_eq!(idle.line().await.unwrap(), "* closing reason=idle");
    assert_eq!(idle.line().await, None);
}

#[tokio::test]
async fn a_slow_drip_does_not_renew_its_line() {
    let limits = Limits { line: Duration::from_millis(300), ..Limits::default() };
    let (_server, address) = over_tcp(Toy::new(None), limits, None).await;
    let mut drip = Plain::connect(address).await;
    let (mut reader, mut writer) = drip.stream.get_mut().split();
    let dripping = async {
        loop {
            if writer.write_all(b"a").await.is_err() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    let mut told = String::new();
    // A line that is renewed by every byte would never end; a minute is room for a busy machine.
    let closed = async {
        tokio::select! {
            () = dripping => {}
            _ = reader.read_to_string(&mut told) => {}
        }
    };
    assert!(tokio::time::timeout(Duration::from_secs(60), closed).await.is_ok());
}

#[tokio::test]
async fn too_many_are_turned_away_and_places_come_free() {
    let limits = Limits { connections: 3, ..Limits::default() };
    let (server, address) = over_tcp(Toy::new(None), limits, None).await;
    let mut first: Vec<Plain> = Vec::new();
    for _ in 0..3 {
        let mut plain = Plain::connect(address).await;
        plain.ask("identify").await;
        first.push(plain);
    }
    let mut fourth = Plain::connect(address).await;
    assert!(fourth.line().await.unwrap().starts_with("no 91 too-many "));
    assert_eq!(fourth.line().await, None);
    assert_eq!(server.counts().turned_away, 1);
    first.pop();
    let until = Instant::now() + Duration::from_secs(5);
    loop {
        let mut next = Plain::connect(address).await;
        next.send("identify\n").await;
        if next.line().await.is_some_and(|line| line.starts_with("ok ")) {
            break;
        }
        assert!(Instant::now() < until, "no place came free");
    }
}

#[tokio::test]
async fn hundreds_that_connect_flood_stall_and_vanish_leave_nothing_behind() {
    let limits = Limits { connections: 500, ..Limits::default() };
    let (server, address) = over_tcp(Toy::new(None), limits, None).await;
    let mut steady = Plain::connect(address).await;
    let mut held = Vec::new();
    for number in 0..300 {
        let mut stream = TcpStream::connect(address).await.unwrap();
        match number % 4 {
            0 => drop(stream),
            1 => {
                stream.write_all("help\n".repeat(500).as_bytes()).await.unwrap();
                drop(stream);
            }
            2 => {
                stream.write_all(b"goto hour_axis=").await.unwrap();
                held.push(stream);
            }
            _ => {
                stream.write_all(&[0xFF; 3000]).await.unwrap();
                // Reset instead of an orderly end.
                stream.set_zero_linger().unwrap();
            }
        }
        if number % 25 == 0 {
            assert!(steady.ask("axes").await.starts_with("ok "));
        }
    }
    drop(held);
    let until = Instant::now() + Duration::from_secs(10);
    while server.with(|toy| toy.connected()) > 1 {
        assert!(Instant::now() < until, "{} are left", server.with(|toy| toy.connected()));
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    assert!(steady.ask("axes").await.starts_with("ok "));
}

#[tokio::test]
async fn a_token_opens_and_nothing_reaches_the_mount_without() {
    let token = Token::new("a-long-and-secret-word").unwrap();
    let limits = Limits { token: Duration::from_millis(300), ..Limits::default() };
    let (server, address) = over_tcp(Toy::new(None), limits, Some(token.clone())).await;
    let mut wrong = Plain::connect(address).await;
    wrong.send("goto hour_axis=0deg declination_axis=0deg\n").await;
    assert!(wrong.line().await.unwrap().starts_with("no 90 token-needed "));
    assert_eq!(wrong.line().await.unwrap(), "* closing reason=no-token");
    assert!(!server.with(|toy| toy.moves()));
    let mut silent = Plain::connect(address).await;
    assert_eq!(silent.line().await.unwrap(), "* closing reason=no-token");
    let mut right = Plain::connect(address).await;
    right.send("@1 hello token=a-long-and-secret-word\n@2 identify\n").await;
    assert_eq!(right.line().await.unwrap(), "ok @1");
    assert!(right.line().await.unwrap().starts_with("ok @2 device=toy"));
    let options = ClientOptions { token: Some(token), ..ClientOptions::default() };
    let client = Client::connect(&address.to_string().parse().unwrap(), options).await.unwrap();
    assert_eq!(client.request("identify").await.unwrap().get("device"), Some("toy"));
}

#[tokio::test]
async fn a_web_page_moves_no_mount() {
    let (server, address) = over_tcp(Toy::new(None), Limits::default(), None).await;
    let mut browser = Plain::connect(address).await;
    let body = "goto hour_axis=0deg declination_axis=0deg\n";
    browser.send(&format!("POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 42\r\n\r\n{body}")).await;
    assert_eq!(browser.line().await.unwrap(), "* closing reason=web");
    assert_eq!(browser.line().await, None);
    assert!(!server.with(|toy| toy.moves()));
}

#[tokio::test]
async fn addresses_beyond_this_computer_need_leave_and_a_token() {
    let everywhere = "0.0.0.0:0".parse().unwrap();
    assert!(matches!(link::bind(everywhere, false, None).await, Err(LinkError::Remote { .. })));
    assert!(matches!(link::bind(everywhere, true, None).await, Err(LinkError::TokenNeeded { .. })));
}

#[tokio::test]
async fn a_taken_port_is_said_to_be_taken() {
    let (_server, address) = over_tcp(Toy::new(None), Limits::default(), None).await;
    assert!(matches!(link::bind(address, false, None).await, Err(LinkError::Taken { .. })));
}

#[tokio::test]
async fn the_end_stops_the_motors_tells_everybody_and_waits_for_nobody() {
    let (server, address) = over_tcp(Toy::new(None), Limits::default(), None).await;
    let mut plain = Plain::connect(address).await;
    plain.ask("goto hour_axis=90deg declination_axis=0deg").await;
    let _deaf = TcpStream::connect(address).await.unwrap();
    while server.counts().begun < 2 {
        tokio::time::sleep(Duration::from_millis(1)).await;
    }
    // A deaf client would keep it for ever; a minute is room for a busy machine.
    let counts = tokio::time::timeout(Duration::from_secs(60), server.end()).await.expect("it ends");
    assert_eq!(plain.line().await.unwrap(), "* stopped job=1");
    assert_eq!(plain.line().await.unwrap(), "* closing reason=ending");
    assert_eq!(plain.line().await, None);
    assert_eq!(counts.ended.get(&Reason::Ending), Some(&2));
    assert!(TcpStream::connect(address).await.is_err());
}

#[tokio::test(start_paused = true)]
async fn a_pipe_in_memory_carries_the_same_and_hours_pass_at_once() {
    let mut server = Server::start_at(Toy::new(None), |toy| toy.now, 1.0, Limits::default());
    let (near, far) = tokio::io::duplex(4096);
    server.stream(far);
    let client = Client::over(near, ClientOptions::default());
    // 0.05 s for a degree: with the clock a hundredth as fast it would be the same event.
    let event =
        client.finish("goto hour_axis=90deg declination_axis=0deg", Duration::from_secs(60)).await.unwrap();
    assert_eq!(event.to_string(), "arrived job=1");
    assert_eq!(
        client.request("goto name=Nothing").await.unwrap_err().to_string().split(' ').next(),
        Some("refused:")
    );
}

#[tokio::test]
async fn a_client_finds_back_and_repeats_only_what_may_be_repeated() {
    let (server, address) = over_tcp(Toy::new(None), Limits::default(), None).await;
    let options = ClientOptions { timeout: Duration::from_secs(10), ..ClientOptions::default() };
    let client = Client::connect(&address.to_string().parse().unwrap(), options).await.unwrap();
    client.request("identify").await.unwrap();
    server.end().await;
    // Asked while nobody is there: one is answered by the next server, the other might have moved something.
    let (status, moved) = tokio::join!(async { client.request("status").await }, async {
        tokio::time::sleep(Duration::from_millis(50)).await;
        let listener = loop {
            match link::bind(address, false, None).await {
                Ok(listener) => break listener,
                Err(_) => tokio::time::sleep(Duration::from_millis(20)).await,
            }
        };
        let mut next = Server::start_at(Toy::new(None), |toy| toy.now, 1.0, Limits::default());
        next.tcp(listener, None);
        next
    });
    assert_eq!(status.unwrap().get("state"), Some("resting"));
    drop(moved);
}

#[tokio::test]
async fn a_motion_whose_reply_is_lost_is_not_sent_again() {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap().to_string().parse().unwrap();
    let serving = tokio::spawn(async move {
        let (mut stream, _) = listener.accept().await.unwrap();
        let mut heard = vec![0; 100];
        let count = stream.read(&mut heard).await.unwrap();
        drop(stream);
        let (mut stream, _) = listener.accept().await.unwrap();
        let mut again = vec![0; 100];
        let second = tokio::time::timeout(Duration::from_millis(300), stream.read(&mut again)).await;
        (String::from_utf8_lossy(&heard[..count]).into_owned(), second.is_ok())
    });
    let client = Client::connect(&address, ClientOptions::default()).await.unwrap();
    let lost = client.request("goto hour_axis=0deg declination_axis=0deg").await;
    assert_eq!(lost, Err(ClientError::ReplyLost));
    let (heard, second) = serving.await.unwrap();
    assert!(heard.contains(" goto "), "{heard}");
    assert!(!second, "the motion was sent twice");
}

#[tokio::test]
async fn on_a_line_that_loses_bytes_a_numbered_motion_is_repeated_and_others_are_not() {
    let (near, mut far) = tokio::io::duplex(4096);
    let options = ClientOptions {
        repeat_after: Some(Duration::from_millis(100)),
        number_motions: true,
        timeout: Duration::from_millis(700),
        ..ClientOptions::default()
    };
    let client = Client::over(near, options);
    // The mount hears everything and its first reply to each is lost.
    let lossy = tokio::spawn(async move {
        let mut heard: Vec<String> = Vec::new();
        let mut bytes = vec![0; 500];
        while let Ok(count) = far.read(&mut bytes).await {
            let text = String::from_utf8_lossy(&bytes[..count]).into_owned();
            for line in text.lines() {
                if heard.iter().any(|before| before == line) {
                    let tag = line.split(' ').next().unwrap();
                    far.write_all(format!("ok {tag} job=1\n").as_bytes()).await.unwrap();
                }
                heard.push(line.to_owned());
            }
            if count == 0 {
                break;
            }
        }
        heard
    });
    client.request("goto hour_axis=0deg declination_axis=0deg").await.unwrap();
    client.request("status").await.unwrap();
    assert_eq!(client.request("site height=1m").await, Err(ClientError::Timeout));
    drop(client);
    let heard = lossy.await.unwrap();
    assert!(heard[0].contains(" seq=") && heard[0] == heard[1], "{heard:?}");
    // A busy machine may be so late that something is sent a third time; what has no number never is.
    assert!(heard.len() >= 5, "{heard:?}");
    assert_eq!(heard.iter().filter(|line| line.contains(" site ")).count(), 1, "{heard:?}");
}

#[tokio::test]
async fn a_damaged_reply_is_no_reply() {
    let (near, mut far) = tokio::io::duplex(4096);
    let options =
        ClientOptions { check: true, timeout: Duration::from_millis(500), ..ClientOptions::default() };
    let client = Client::over(near, options);
    let answering = tokio::spawn(async move {
        let mut heard = vec![0; 200];
        let count = far.read(&mut heard).await.unwrap();
        far.write_all(b"ok @1 height=440m check=0000\nok @1 height=440m\n").await.unwrap();
        (String::from_utf8_lossy(&heard[..count]).into_owned(), far)
    });
    assert_eq!(client.request("site").await, Err(ClientError::Timeout));
    let (heard, _far) = answering.await.unwrap();
    assert!(matches!(protocol::check::take(heard.trim_end()), protocol::check::Checked::Good("@1 site")));
}
