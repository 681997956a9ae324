use super::*;
use stillwave_link::RecordHead;

const HELLO: Hello =
    Hello { rate: 1_000, highest: 4_095, longest: 100, volts_per_count: 0.001, zero: 0.0 };
const SINGLE: Settings = Settings { mode: Mode::Single, ..Settings::DEFAULT };

fn told(view: &mut View, settings: Settings, running: bool) {
    view.take(&News::Settings { settings, running });
}

fn recorded(view: &mut View) {
    view.take(&News::RecordBegins);
    let head = RecordHead { number: 0, len: 2, start: 0, event: None };
    view.take(&News::Record(head, vec![1, 2]));
}

/// A board that has said what it is and what is set.
fn there(settings: Settings, running: bool) -> View {
    let mut view = View::default();
    view.take(&News::Hello(HELLO));
    told(&mut view, settings, running);
    view
}

#[test]
fn a_run_is_confirmed_by_a_board_that_runs() {
    let mut view = there(SINGLE, false);
    view.run();
    assert_eq!(view.take_orders(1), [ToBoard::Run, ToBoard::Hello]);
    // The hello that another asked for, and what was set before.
    view.take(&News::Hello(HELLO));
    told(&mut view, SINGLE, false);
    assert!(view.is_running());
    view.take(&News::Hello(HELLO));
    told(&mut view, SINGLE, true);
    recorded(&mut view);
    told(&mut view, SINGLE, false);
    assert!(!view.is_running());
    assert!(view.record(0).is_some());
}

#[test]
fn a_run_is_not_confirmed_by_a_hello_that_was_due_before() {
    let mut view = there(Settings::DEFAULT, true);
    view.run();
    view.take_orders(1);
    for is_confirmed in [false, true] {
        view.take(&News::Hello(HELLO));
        told(&mut view, Settings::DEFAULT, true);
        recorded(&mut view);
        assert_eq!(view.record(0).is_some(), is_confirmed);
    }
}

#[test]
fn a_run_may_be_over_before_its_hello() {
    let mut view = there(SINGLE, false);
    view.run();
    view.take_orders(0);
    told(&mut view, SINGLE, true);
    view.take(&News::Hello(HELLO));
    told(&mut view, SINGLE, false);
    recorded(&mut view);
    assert!(!view.is_running());
    assert!(view.record(0).is_some());
}

#[test]
fn orders_go_one_after_the_other_and_the_last_settings_win() {
    let mut view = there(SINGLE, false);
    let level = |level_mv| Settings { level_mv, ..SINGLE };
    for mv in 0..1_000 {
        view.set(level(mv));
    }
    assert_eq!(view.take_orders(0), [ToBoard::Settings(level(999)), ToBoard::Hello]);
    // Nothing while these are not confirmed; what comes meanwhile waits, and so do programs.
    while !view.is_full() {
        view.set(level(5));
        view.run();
    }
    view.set(level(7));
    assert!(view.take_orders(0).is_empty());
    view.take(&News::Hello(HELLO));
    told(&mut view, level(999), false);
    assert_eq!((view.settings(), view.is_running()), (level(7), true));
    let orders = view.take_orders(0);
    assert_eq!(orders.len(), MOST + 2);
    assert!(orders.ends_with(&[ToBoard::Settings(level(7)), ToBoard::Hello]));
    // Another mode runs as well: it is not the same as the last alone.
    view.set(Settings { mode: Mode::Normal, ..SINGLE });
    view.set(SINGLE);
    view.take(&News::Hello(HELLO));
    told(&mut view, level(7), true);
    assert_eq!(view.take_orders(0).len(), 3);
}

#[test]
fn a_board_that_is_away_is_known_to_be() {
    let mut view = there(SINGLE, false);
    view.set(Settings { level_mv: 5, ..SINGLE });
    view.take(&News::Gone("unplugged".to_owned()));
    assert!(view.is_gone() && view.take_orders(0).is_empty());
    assert_eq!(view.settings(), SINGLE);
    // What was set on the board before says nothing of this one.
    view.take(&News::Connected);
    assert!(view.is_gone());
    told(&mut view, SINGLE, false);
    assert!(view.is_gone());
    view.take(&News::Hello(HELLO));
    assert!(view.is_gone());
    told(&mut view, SINGLE, false);
    assert!(!view.is_gone());
}

#[test]
fn a_record_that_takes_long_on_its_way_is_not_lost() {
    let mut view = there(SINGLE, false);
    view.run();
    view.take_orders(0);
    view.take(&News::Hello(HELLO));
    told(&mut view, SINGLE, true);
    view.take(&News::RecordBegins);
    told(&mut view, SINGLE, false);
    let later = |view: &mut View| view.stopped = Instant::now().checked_sub(2 * LONG);
    later(&mut view);
    view.take(&News::RecordGoesOn);
    assert!(view.is_running(), "it comes");
    later(&mut view);
    assert!(!view.is_running(), "no more of it comes");
}

#[test]
fn a_record_is_of_what_is_set_and_of_the_board_that_is_there() {
    let mut view = there(Settings::DEFAULT, true);
    recorded(&mut view);
    // How it is shown does not matter.
    let shown = Settings { volts_mv: 100, centre_mv: 1_000, ..Settings::DEFAULT };
    told(&mut view, shown, true);
    assert!(view.record(0).is_some());
    let turned = Settings { level_mv: 100, ..shown };
    told(&mut view, turned, true);
    assert!(view.record(0).is_none(), "a knob was turned");
    recorded(&mut view);
    view.take(&News::Hello(HELLO));
    assert!(view.record(0).is_some());
    view.take(&News::Hello(Hello { volts_per_count: 0.01, ..HELLO }));
    assert!(view.record(0).is_none(), "another board");
}
