//! What the feed shows is what the core says, and what hands do reaches the mount and ends with them.

mod bench_page;

use bench_page::open;
use serde_json::json;
use units::{Angle, Fixed};

fn text(value: f64, decimals: u8) -> String {
    let mut out = String::new();
    Fixed { value, decimals }.push_to(&mut out);
    out
}

/// While time stands, every figure of a frame is the core's own, digit for digit, and the line's as well.
#[tokio::test]
async fn figures_are_the_cores_to_the_last_digit() {
    let served = open().await;
    let mut client = served.client(None).await;
    served.act(&client.pass, &json!({ "do": "line", "text": "goto name=Regulus" })).await;
    served.act(&client.pass, &json!({ "do": "speed", "value": 100 })).await;
    client.until("frame", |frame| frame["target"]["name"] == "Regulus").await;
    served.act(&client.pass, &json!({ "do": "speed", "value": 0 })).await;
    client.until("frame", |frame| frame["speed"] == 0.0).await;
    let frame = client.next("frame").await;
    let (_, said) = served.act(&client.pass, &json!({ "do": "line", "text": "axes" })).await;
    let axes = said["answer"].as_str().expect("an answer").to_owned();
    let (_, said) = served.act(&client.pass, &json!({ "do": "line", "text": "status group=pointing" })).await;
    let pointing = said["answer"].as_str().expect("an answer").to_owned();
    let degrees = |angle: Angle| text(angle.degrees(), 8);
    let picture = served.handle.with(|live| live.picture());
    assert_eq!(frame["dial"], json!([degrees(picture.dials.0), degrees(picture.dials.1)]));
    assert_eq!(frame["axis"], json!([degrees(picture.axes.0), degrees(picture.axes.1)]));
    assert_eq!(frame["truth"], json!([degrees(picture.truth.0), degrees(picture.truth.1)]));
    let target = picture.target.expect("a target");
    assert_eq!(
        frame["target"]["error"],
        json!([text(target.error.0.arcsec(), 2), text(target.error.1.arcsec(), 2)])
    );
    assert_eq!(frame["play"][1]["gap"], text(picture.plays[1].gap.arcsec(), 2));
    let dials = [frame["dial"][0].as_str().expect("text"), frame["dial"][1].as_str().expect("text")];
    assert!(axes.contains(&format!("hour_dial={}deg", dials[0])), "{axes}");
    assert!(axes.contains(&format!("declination_dial={}deg", dials[1])), "{axes}");
    assert!(
        pointing.contains(&format!("azimuth={}deg", frame["belief"][0].as_str().expect("text"))),
        "{pointing}"
    );
}

#[tokio::test]
async fn a_held_key_ends_with_the_connection() {
    let served = open().await;
    let holder = served.client(None).await;
    let mut other = served.client(None).await;
    served
        .act(&holder.pass, &json!({ "do": "line", "text": "goto hour_axis=-60deg declination_axis=40deg" }))
        .await;
    served.act(&holder.pass, &json!({ "do": "speed", "value": 100 })).await;
    other.until("frame", |frame| frame["state"] == "resting" && frame["dial"][0] == "-60.00000000").await;
    let press = json!({ "do": "press", "direction": "west", "rate": "20x" });
    assert_eq!(served.act(&holder.pass, &press).await.0, 200);
    assert_eq!(served.handle.speed(), 1.0, "a hand works at the wall's pace");
    other.until("frame", |frame| frame["state"] == "nudging").await;
    drop(holder);
    other.until("frame", |frame| frame["state"] == "resting").await;
    // The other one has the controls now.
    let room = other.until("room", |room| room["here"] == 1).await;
    assert_eq!(room["holder"], other.number);
    assert_eq!(served.act(&other.pass, &press).await.0, 200);
    assert_eq!(served.act(&other.pass, &json!({ "do": "release" })).await.0, 200);
    other.until("frame", |frame| frame["state"] == "resting").await;
}

#[tokio::test]
async fn one_teacher_is_in_control_and_stop_is_everyones() {
    let served = open().await;
    let mut one = served.client(None).await;
    let two = served.client(None).await;
    let go = json!({ "do": "line", "text": "goto name=Regulus" });
    assert_eq!(served.act(&two.pass, &go).await.0, 403);
    assert_eq!(served.act(&one.pass, &go).await.0, 200);
    one.until("frame", |frame| frame["state"] == "slewing").await;
    assert_eq!(served.act(&two.pass, &json!({ "do": "stop" })).await.0, 200);
    one.until("frame", |frame| frame["state"] == "resting").await;
    assert_eq!(served.act(&two.pass, &json!({ "do": "take" })).await.0, 200);
    assert_eq!(served.act(&one.pass, &go).await.0, 403);
    assert_eq!(served.act(&two.pass, &go).await.0, 200);
}

#[tokio::test]
async fn everybody_sees_the_same_lines_and_a_newcomer_all_of_them() {
    let served = open().await;
    let mut one = served.client(None).await;
    let mut two = served.client(None).await;
    served.act(&one.pass, &json!({ "do": "line", "text": "identify" })).await;
    for client in [&mut one, &mut two] {
        assert_eq!(client.next("line").await["text"], "identify");
        assert!(
            client.next("line").await["text"].as_str().expect("text").starts_with("ok device=nightbench")
        );
    }
    let mut three = served.client(None).await;
    assert_eq!(three.next("line").await["number"], 1);
}

#[tokio::test]
async fn hidden_errors_are_told_to_nobody_before_their_time() {
    let served = open().await;
    let mut client = served.client(None).await;
    served.act(&client.pass, &json!({ "do": "surprise", "seed": 5 })).await;
    let room = client.until("room", |room| room["hidden"] == true).await;
    assert!(room["trims"].as_array().expect("a list").iter().all(|trim| trim["value"].is_null()));
    let frame = client.next("frame").await;
    assert!(frame["play"][0]["gap"].is_null() && frame["axis"][0].is_null());
    let pass = format!("x-nightbench-pass: {}\r\n", client.pass);
    assert_eq!(served.get("/api/scenario", &pass).await.0, 409);
    assert_eq!(served.act(&client.pass, &json!({ "do": "set", "name": "cone", "value": 0 })).await.0, 422);
    served.act(&client.pass, &json!({ "do": "reveal" })).await;
    let told = client.until("room", |room| room["hidden"] == false).await;
    let values = |room: &serde_json::Value| -> Vec<serde_json::Value> {
        room["trims"].as_array().expect("a list").iter().map(|trim| trim["value"].clone()).collect()
    };
    let first = values(&told);
    // The same number hides the same errors, another one others.
    for (seed, same) in [(5, true), (6, false)] {
        served.act(&client.pass, &json!({ "do": "surprise", "seed": seed })).await;
        served.act(&client.pass, &json!({ "do": "reveal" })).await;
        let room =
            client.until("room", |room| room["hidden"] == false && room["surprises"] == seed - 3).await;
        assert_eq!(values(&room) == first, same, "{seed}");
    }
    let (status, scenario) = served.get("/api/scenario", &pass).await;
    let text = scenario.split_once("\r\n\r\n").expect("a body").1;
    assert!(status == 200 && bench::live::read_night(text).is_ok());
}

#[tokio::test]
async fn a_lesson_is_shown_step_by_step_and_its_question_judged() {
    let served = open().await;
    let mut client = served.client(None).await;
    served.act(&client.pass, &json!({ "do": "lesson", "name": "knock" })).await;
    for done in 1..=3 {
        assert_eq!(served.act(&client.pass, &json!({ "do": "show" })).await.0, 200);
        client.until("room", |room| room["lesson"]["done"] == done && room["showing"] == false).await;
    }
    let early = served.act(&client.pass, &json!({ "do": "answer", "text": "far" })).await;
    assert_eq!(early.0, 422);
    served.act(&client.pass, &json!({ "do": "answer", "text": "3" })).await;
    client.until("room", |room| room["lesson"]["answer"]["right"] == false).await;
    served.act(&client.pass, &json!({ "do": "answer", "text": "18,8" })).await;
    client.until("room", |room| room["lesson"]["answer"]["right"] == true).await;
    let pass = format!("x-nightbench-pass: {}\r\n", client.pass);
    let told = served.get("/api/lesson?name=knock", &pass).await.1;
    assert!(
        told.contains("Regulus") && !told.contains("within") && !told.contains("\"show\""),
        "no answers in it"
    );
}
