use super::*;

const TEMP: Dimension = Dimension::TEMPERATURE;
const KELVIN: Dimension = Dimension::TEMPERATURE_DIFFERENCE;
const GAUGE: Dimension = Dimension::GAUGE_PRESSURE;
const ABSOLUTE: Dimension = Dimension::ABSOLUTE_PRESSURE;
const KPA: Dimension = Dimension::PRESSURE;
const NONE: Dimension = Dimension::NONE;

#[test]
fn points_and_differences() {
    for (point, amount) in [(TEMP, KELVIN), (GAUGE, KPA), (ABSOLUTE, KPA)] {
        assert_eq!(point.add(amount), Ok(point));
        assert_eq!(amount.add(point), Ok(point));
        assert_eq!(point.sub(amount), Ok(point));
        assert_eq!(point.sub(point), Ok(amount));
        assert_eq!(amount.sub(amount), Ok(amount));
        assert!(point.add(point).is_err() && amount.sub(point).is_err());
        assert!(point.compare(amount).is_err() && amount.compare(point).is_err());
        assert_eq!(point.compare(point), Ok(()));
    }
    assert!(GAUGE.sub(ABSOLUTE).is_err() && GAUGE.compare(ABSOLUTE).is_err());
    assert!(GAUGE.joined_by_ambient(ABSOLUTE) && !GAUGE.joined_by_ambient(KPA) && !GAUGE.joined_by_ambient(GAUGE));
}

#[test]
fn products_and_ratios() {
    assert_eq!(Dimension::CURRENT.mul(Dimension::RESISTANCE), Ok(Dimension::VOLTAGE));
    assert_eq!(Dimension::VOLTAGE.mul(Dimension::CURRENT), Ok(Dimension::POWER));
    assert_eq!(Dimension::VOLTAGE.div(Dimension::CURRENT), Ok(Dimension::RESISTANCE));
    assert_eq!(Dimension::CURRENT.mul(Dimension::TIME), Ok(Dimension::CHARGE));
    assert_eq!(Dimension::POWER.mul(Dimension::TIME), Ok(Dimension::ENERGY));
    assert_eq!(ABSOLUTE.div(ABSOLUTE), Ok(NONE));
    for point in [TEMP, GAUGE] {
        for other in [NONE, KELVIN, point] {
            assert!(point.mul(other).is_err() && other.mul(point).is_err());
            assert!(point.div(other).is_err() && other.div(point).is_err());
        }
    }
    let (volts_ac, rpm) = (Dimension::VOLTAGE_AC, Dimension::ROTATION);
    assert_eq!(
        (volts_ac.mul(NONE), NONE.mul(volts_ac), volts_ac.div(NONE)),
        (Ok(volts_ac), Ok(volts_ac), Ok(volts_ac))
    );
    assert_eq!((rpm.div(rpm), volts_ac.div(volts_ac)), (Ok(NONE), Ok(NONE)));
    assert_eq!(NONE.div(rpm), Ok(Dimension::TIME));
    assert!(volts_ac.compare(Dimension::VOLTAGE).is_err() && rpm.compare(Dimension::FREQUENCY).is_err());
    assert!(volts_ac.add(Dimension::VOLTAGE).is_err() && volts_ac.add(volts_ac).is_ok());
}

#[test]
fn powers_that_grow_too_large_clash() {
    let mut product = Dimension::LENGTH;
    let mut steps = 0;
    while let Ok(next) = product.mul(product) {
        product = next;
        steps += 1;
    }
    assert_eq!((steps, product.metre), (6, 64));
}

#[test]
fn words_of_the_trade() {
    assert_eq!(Dimension::VOLTAGE.noun(), "voltage");
    assert_eq!(KELVIN.noun(), "temperature difference");
    assert_eq!(GAUGE.noun(), "gauge pressure");
    assert_eq!(ABSOLUTE.a_noun(), "an absolute pressure");
    assert_eq!(Dimension::VOLTAGE.mul(Dimension::VOLTAGE).unwrap().noun(), "quantity in kg² m⁴ s⁻⁶ A⁻²");
    let said = |result: Result<Dimension, DimensionClash>| {
        let clash = result.unwrap_err();
        (clash.explain(), clash.fix().unwrap())
    };
    let compared = |a: Dimension, b| said(a.compare(b).map(|()| a));
    let (problem, fix) = compared(Dimension::VOLTAGE, Dimension::RESISTANCE);
    assert_eq!(problem, "a voltage can't be compared with a resistance");
    assert!(fix.contains("`V`"));
    assert!(compared(GAUGE, KPA).1.contains("say `kPa gauge` or `kPa absolute`"));
    assert!(compared(TEMP, KELVIN).1.contains("a temperature difference in K"));
    assert!(compared(Dimension::VOLTAGE_AC, Dimension::VOLTAGE).1.contains("`V AC`"));
    assert!(compared(Dimension::VOLTAGE, NONE).1.contains("give the number its unit, such as `V`"));
    assert!(said(TEMP.add(TEMP)).1.contains("written in K"));
    assert!(said(TEMP.mul(NONE)).1.contains("difference"));
    assert_eq!(said(TEMP.sub(Dimension::VOLTAGE)).1, "here a quantity in `K` is needed");
}
