//! The proxy's faults, each seen from a plain socket in front of an echo.

use std::io::ErrorKind;

use super::*;

/// A server that sends back what it gets, for as many connections as come.
fn echo() -> String {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    spawn(move || {
        for stream in listener.incoming().flatten() {
            spawn(move || {
                let mut back = stream.try_clone().unwrap();
                let _ = std::io::copy(&mut &stream, &mut back);
                let _ = back.shutdown(Shutdown::Both);
            });
        }
    });
    address
}

fn through(proxy: &Proxy) -> TcpStream {
    let stream = TcpStream::connect(proxy.address()).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_millis(300)))
        .unwrap();
    stream
}

/// Sends bytes and waits for them all; how long that took.
fn round(stream: &mut TcpStream, bytes: usize) -> std::io::Result<Duration> {
    let began = wait::now();
    let sent: Vec<u8> = (0..bytes).map(|index| (index % 251) as u8).collect();
    stream.write_all(&sent)?;
    let mut came = vec![0; bytes];
    stream.read_exact(&mut came)?;
    assert_eq!(came, sent, "order is kept");
    Ok(began.elapsed())
}

fn times_out(outcome: std::io::Result<Duration>) -> bool {
    outcome.is_err_and(|error| matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut))
}

#[test]
fn bytes_arrive_late_by_the_delay_of_both_ways() {
    let proxy = Proxy::before(&echo());
    let mut stream = through(&proxy);
    assert!(round(&mut stream, 100).unwrap() < Duration::from_millis(150));
    stream.set_read_timeout(None).unwrap();
    proxy.line(Line {
        delay: Duration::from_millis(150),
        jitter: Duration::from_millis(50),
        ..Line::default()
    });
    for _ in 0..5 {
        let took = round(&mut stream, 30_000).unwrap();
        assert!(took >= Duration::from_millis(200), "{took:?}");
    }
}

#[test]
fn a_throttled_line_takes_its_time() {
    let proxy = Proxy::before(&echo());
    proxy.line(Line {
        bytes_per_s: Some(100_000),
        ..Line::default()
    });
    let mut stream = through(&proxy);
    let took = round(&mut stream, 50_000).unwrap();
    assert!(took >= Duration::from_millis(400), "{took:?}");
}

#[test]
fn a_stalled_line_holds_and_a_half_open_one_swallows() {
    let proxy = Proxy::before(&echo());
    let mut stream = through(&proxy);
    proxy.stall();
    assert!(times_out(round(&mut stream, 10)));
    proxy.pass();
    let mut late = [0; 10];
    stream.read_exact(&mut late).unwrap();
    for way in [Way::Up, Way::Down] {
        proxy.half_open(way);
        assert!(times_out(round(&mut stream, 10)), "{way:?}");
        proxy.pass();
        assert!(
            times_out(stream.read(&mut late).map(|_| Duration::ZERO)),
            "it is gone"
        );
        round(&mut stream, 10).expect("the connection still stands");
    }
}

#[test]
fn a_reset_is_a_reset_and_the_next_connection_is_taken() {
    let proxy = Proxy::before(&echo());
    let mut stream = through(&proxy);
    round(&mut stream, 10).unwrap();
    proxy.reset();
    let kind = wait::until("the reset", || match stream.read(&mut [0; 10]) {
        Ok(0) => Some(None),
        Err(error) if error.kind() == ErrorKind::ConnectionReset => Some(Some(error.kind())),
        _ => None,
    });
    assert_eq!(
        kind,
        Some(ErrorKind::ConnectionReset),
        "an orderly end is no reset"
    );
    round(&mut through(&proxy), 10).unwrap();
    proxy.line(Line {
        reset_after: Some(10_000),
        ..Line::default()
    });
    let mut stream = through(&proxy);
    let broke = (0..200).find(|_| round(&mut stream, 1_000).is_err());
    assert!(broke.is_some_and(|after| after <= 21), "{broke:?}");
    assert!(proxy.resets() >= 2);
}

#[test]
fn a_cut_line_refuses_until_it_is_let_pass() {
    let proxy = Proxy::before(&echo());
    let mut stream = through(&proxy);
    round(&mut stream, 10).unwrap();
    proxy.cut();
    assert!(!times_out(round(&mut stream, 10)), "it ended");
    let refused = round(&mut through(&proxy), 10);
    assert!(refused.is_err() && !times_out(refused));
    proxy.pass();
    round(&mut through(&proxy), 10).unwrap();
}
