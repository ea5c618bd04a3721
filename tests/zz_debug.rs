#![allow(warnings)]
use std::collections::BTreeMap;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::choice::choose;
use ruleout::flow::working::{Known,picture};
use ruleout::plant::{car::Car,dice::Dice,plan::Plan,spread::Spread,walk::*,drive::Drive};
#[test] fn debug(){
  let flow=std::env::var("F").unwrap(); let cause=std::env::var("C").unwrap(); let want=std::env::var("W").unwrap_or_default();
  let shelf=Shelf::shipped(); let s=shelf.find(&flow).unwrap(); let plan=Plan::of(&s.flow);
  for seed in 0..60u64 {
    let mut dice=Dice::new(seed);
    let car=Car::draw(&plan,&BTreeMap::new(),&[&cause],&Spread::EXPECTED,&mut dice);
    let w=walk(&plan,car.clone());
    if w.found_and_proved(&cause) || !format!("{:?}",w).contains(&want) {continue;}
    println!("seed {seed} {:?} {:?}\n facts {:?}",w.end,car.causes,car.facts.iter().map(|(k,v)|format!("{k}={v:?}")).collect::<Vec<_>>());
    let mut d=Drive::new(&plan,car.clone()); let mut ans=car.facts.clone();
    for (st,out) in w.steps.iter().take(24) {
      let step=plan.flow.step(st).unwrap();
      let t=d.at(step,&ans); for id in &step.record {ans.remove(id);} ans.extend(t.clone());
      let p=picture(plan.flow,Known{answers:&ans,test_number:d.test()});
      println!("  {st} > {out}: {}", t.iter().map(|(k,v)|format!("{k}={}",match v{ruleout::flow::answer::Answer::Quantity(q)=>q.to_string(),o=>format!("{o:?}")})).collect::<Vec<_>>().join("; "));
      for id in &step.show { if let Some(v)=p.values.get(id){println!("       {id} = {v:?}");} }
      for o in &step.outcomes { if &o.id==out { if let ruleout::flow::target::Target::Repair(c)=&o.go { d.repair(c,true); ans=car.facts.clone(); } } }
    }
    break;
  }
}
