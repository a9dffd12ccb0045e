"""More sheets of strangers, in four languages, each with its truth and the answers to it.

All are invented. By hand: 1 min = 60 s, 1/100 min = 0.6 s, 1 TMU = 0.036 s; "je 100" is divided
by 100, "x 10" taken ten times, 12.5 % on 40 s is 45 s, 90 % of 50 s is 45 s, an eighth of
80 s is 10 s, two persons share 90 s.
"""

from sheet_traps import Trap, table

# No answers: the sheet cannot be settled by a choice, or its truth is not known; the values that
# are not in the truth must stay open or be named.
OWN = (
    Trap('unit in the second heading row DE', table(
        "Nr;Arbeitsgang;Zeit;Vorgänger\n"
        ";;[min];\n"
        "10;Einlegen;0,75;\n"
        "20;Schrauben;0,5;10"
        ), {'10': 45, '20': 30}, {}),
    Trap('title says HM', table(
        "Zeiten in HM;;;\n"
        "Nr;Arbeitsgang;Zeit s;Vorgänger\n"
        "10;Einlegen;75;\n"
        "20;Schrauben;50;10"
        ), {'10': 45, '20': 30}, {'time-unit:C': 'cmin'}),
    Trap('footer FR hundredths', table(
        "N°;Désignation;Temps (s);Antériorités\n"
        "10;Poser;75;\n"
        "20;Visser;50;10\n"
        ";Temps en centièmes de minute;;"
        ), {'10': 45, '20': 30}, {'time-unit:C': 'cmin'}),
    Trap('footer ES minutes', table(
        "Nº;Descripción;Tiempo (s);Precedencias\n"
        "10;Poner;0.75;\n"
        "20;Atornillar;0.5;10\n"
        ";Tiempos en minutos;;"
        ), {'10': 45, '20': 30}, {'time-unit:C': 'min'}),
    Trap('footer DE je 100', table(
        "Nr;Arbeitsgang;Zeit min;Vorgänger\n"
        "10;Einlegen;75;\n"
        "20;Schrauben;50;10\n"
        ";Alle Zeiten je 100 Stück;;"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('FR pour 100 pieces', table(
        "N°;Opération;Temps (min) pour 100 pièces;Antériorités\n"
        "10;Poser;75;\n"
        "20;Visser;50;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'C', 'base:C': 'divide'}),
    Trap('ES por 1.000 uds', table(
        "Nº;Operación;Tiempo (h) por 1.000 uds;Precedencias\n"
        "10;Poner;12.5;\n"
        "20;Atornillar;5;10"
        ), {'10': 45, '20': 18}, {'base:C': 'divide'}),
    Trap('s/10 Stk', table(
        "Nr;Arbeitsgang;Zeit [s/10 Stk];Vorgänger\n"
        "10;Einlegen;450;\n"
        "20;Schrauben;300;10"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('min/100 Stk', table(
        "Nr;Arbeitsgang;Zeit [min/100 Stk];Vorgänger\n"
        "10;Einlegen;75;\n"
        "20;Schrauben;50;10"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('x 10', table(
        "No;Operation;Time s x 10;After\n"
        "10;a;4.5;\n"
        "20;b;3;10"
        ), {'10': 45, '20': 30}, {'base:C': 'multiply'}),
    Trap('1/10 min', table(
        "No;Operation;Time 1/10 min;After\n"
        "10;a;7.5;\n"
        "20;b;5;10"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('ms', table(
        "No;Operation;Time (ms);After\n"
        "10;a;45000;\n"
        "20;b;30000;10"
        ), {'10': 45, '20': 30}, {}),
    Trap('DMH', table(
        "No;Operation;Time DMH;After\n"
        "10;a;125;\n"
        "20;b;50;10"
        ), {'10': 45, '20': 18}),
    Trap('h decimal 1/1000 h', table(
        "No;Operation;Time 1/1000 h;After\n"
        "10;a;12.5;\n"
        "20;b;5;10"
        ), {'10': 45, '20': 18}, {'base:C': 'divide'}),
    Trap('Std abbreviation', table(
        "Nr;Arbeitsgang;Zeit Std.;Vorgänger\n"
        "10;Einlegen;0,0125;\n"
        "20;Schrauben;0,005;10"
        ), {'10': 45, '20': 18}, {}),
    Trap('UoM DE ME', table(
        "Nr;Arbeitsgang;Zeit;ME;Vorgänger\n"
        "10;Einlegen;45;s;\n"
        "20;Schrauben;0,5;min;10"
        ), {'10': 45, '20': 30}, {}),
    Trap('unit column heading time unit contradict all', table(
        "No;Operation;Time (s);Unit;After\n"
        "10;a;0.75;min;\n"
        "20;b;0.5;min;10"
        ), {'10': 45, '20': 30}, {'unit-column:D': 'each-row'}),
    Trap('remark per row says min', table(
        "No;Operation;Time (s);After;Remark\n"
        "10;a;45;;\n"
        "20;b;0.5;10;in min"
        ), {'10': 45, '20': 30}, {'unit-column:E': 'each-row'}),
    Trap('second table no heading unit', table(
        "No;Operation;Time s;After\n"
        "10;a;45;\n"
        "20;b;30;10\n"
        "No;Operation;Time (1/100 min);After\n"
        "30;c;50;20\n"
        "40;d;25;30"
        ), {'10': 45, '20': 30, '30': 30, '40': 15}, {'time-unit:C:4': 'cmin'}),
    Trap('second table permuted', table(
        "No;Operation;Time s;After\n"
        "10;a;45;\n"
        "20;b;30;10\n"
        "Operation;No;After;Time s\n"
        "c;30;20;15\n"
        "d;40;30;5"
        ), {'10': 45, '20': 30, '30': 15, '40': 5}),
    Trap('mm:ss FR', table(
        "N°;Opération;Durée mm:ss;Antériorités\n"
        "10;Poser;0:45;\n"
        "20;Visser;1:30;10"
        ), {'10': 45, '20': 90}, {}),
    Trap('hh:mm DE', table(
        "Nr;Arbeitsgang;Dauer (hh:mm);Vorgänger\n"
        "10;Einlegen;0:02;\n"
        "20;Schrauben;0:01;10"
        ), {'10': 120, '20': 60}, {'clock:C': 'h:mm'}),
    Trap('colon without unit', table(
        "No;Operation;Time;After\n"
        "10;a;1:15;\n"
        "20;b;0:30;10"
        ), {'10': 75, '20': 30}, {'clock:C': 'm:ss'}),
    Trap('min.sek number', table(
        "Nr;Arbeitsgang;Zeit Min.Sek;Vorgänger\n"
        "10;Einlegen;1.15;\n"
        "20;Schrauben;0.45;10"
        ), {'10': 75, '20': 45}, {'minutes-seconds:C': 'm,ss'}),
    Trap('min;sec ES', table(
        "Nº;Operación;Tiempo (min,seg);Precedencias\n"
        "10;a;1,15;\n"
        "20;b;0,45;10"
        ), {'10': 75, '20': 45}, {'minutes-seconds:C': 'm,ss'}),
    Trap('quantity thousand', table(
        "Part no;Description;Qty\n"
        "S1;Screw;12.000\n"
        "S2;Nut;4"
        ), {'S1': 12000, 'S2': 4}, {'comma:C': ','}),
    Trap('TMU thousands all', table(
        "Nr;Arbeitsgang;Zeit TMU;Vorgänger\n"
        "10;a;1.250;\n"
        "20;b;2.500;10"
        ), {'10': 45, '20': 90}, {'comma:C': ','}),
    Trap('comma thousand en', table(
        "No;Operation;Time TMU;After\n"
        "10;a;\"1,250\";\n"
        "20;b;850;10"
        ), {'10': 45, '20': 30.6}, {'comma:C': '.'}),
    Trap('alt neu', table(
        "Nr;Arbeitsgang;Zeit alt [s];Zeit neu [s];Vorgänger\n"
        "10;a;99;45;\n"
        "20;b;98;30;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'D'}),
    Trap('Alt / Neu bare', table(
        "Nr;Arbeitsgang;Zeit s;Neu;Vorgänger\n"
        "10;a;99;45;\n"
        "20;b;98;30;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'D', 'time-unit:D': 's'}),
    Trap('ancien nouveau', table(
        "N°;Opération;Ancien temps (s);Nouveau temps (s);Antériorités\n"
        "10;a;99;45;\n"
        "20;b;98;30;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'D'}),
    Trap('soll ist', table(
        "Nr;Arbeitsgang;Sollzeit s;Istzeit s;Vorgänger\n"
        "10;a;45;47;\n"
        "20;b;30;33;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'C'}),
    Trap('setup and run', table(
        "Nr;Arbeitsgang;Rüstzeit min;Stückzeit min;Vorgänger\n"
        "10;a;10;0,75;\n"
        "20;b;5;0,5;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'D'}),
    Trap('tr te', table(
        "Nr;Arbeitsgang;tr [min];te [min];Vorgänger\n"
        "10;a;10;0,75;\n"
        "20;b;5;0,5;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'D'}),
    Trap('min max', table(
        "No;Operation;Time min (s);Time max (s);After\n"
        "10;a;40;50;\n"
        "20;b;25;35;10"
        ), {'10': 45, '20': 30}),
    Trap('man time persons', table(
        "No;Operation;Man-time s;Persons;After\n"
        "10;a;90;2;\n"
        "20;b;30;1;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'divide'}),
    Trap('Anzahl MA', table(
        "Nr;Arbeitsgang;Zeit s;Anzahl MA;Vorgänger\n"
        "10;a;90;2;\n"
        "20;b;30;1;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'divide'}),
    Trap('operateurs', table(
        "N°;Opération;Temps (s);Nb opérateurs;Antériorités\n"
        "10;a;90;2;\n"
        "20;b;30;1;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'divide'}),
    Trap('Häufigkeit', table(
        "Nr;Arbeitsgang;Zeit s;Häufigkeit;Vorgänger\n"
        "10;a;40;1;\n"
        "20;b;80;0,125;10"
        ), {'10': 40, '20': 10}, {'factor:D': 'multiply'}),
    Trap('frequence 1 sur 8', table(
        "N°;Opération;Temps (s);Fréquence;Antériorités\n"
        "10;a;40;1;\n"
        "20;b;80;1 sur 8;10"
        ), {'10': 40, '20': 10}, {'factor:D': 'multiply'}),
    Trap('every 8', table(
        "No;Operation;Time s;Every;After\n"
        "10;a;40;1;\n"
        "20;b;80;8;10"
        ), {'10': 40, '20': 10}, {'factor:D': 'divide'}),
    Trap('name says every 8th', table(
        "No;Operation;Time s;After\n"
        "10;Fit;40;\n"
        "20;Change reel (every 8th unit);80;10"
        ), {'10': 40, '20': 10}, {'named-base:C': 'divide'}),
    Trap('Losgröße', table(
        "Nr;Arbeitsgang;Zeit je Los [s];Losgröße;Vorgänger\n"
        "10;a;450;10;\n"
        "20;b;300;10;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'divide'}),
    Trap('je Los', table(
        "Nr;Arbeitsgang;Zeit je Los [min];Vorgänger\n"
        "10;a;35;\n"
        "20;b;50;10"
        ), {}),
    Trap('cantidad base', table(
        "Nº;Operación;Tiempo (s);Cantidad base;Precedencias\n"
        "10;a;450;10;\n"
        "20;b;300;10;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'divide'}),
    Trap('qty without parts', table(
        "No;Operation;Qty;Time per piece s;After\n"
        "10;Drive screws;4;6;\n"
        "20;Lid;1;9;10"
        ), {'10': 24, '20': 9}, {'factor:C': 'multiply'}),
    Trap('Veces', table(
        "Nº;Operación;Tiempo (s);Veces;Precedencias\n"
        "10;a;6;4;\n"
        "20;b;9;1;10"
        ), {'10': 24, '20': 9}, {'factor:D': 'multiply'}),
    Trap('subtotal numbered', table(
        "No;Operation;Time s;After\n"
        "10;a;5;\n"
        "20;b;7;10\n"
        "30;c;9;20\n"
        "40;Section;21;\n"
        "50;d;4;30"
        ), {'10': 5, '20': 7, '30': 9, '50': 4}, {'summaries': 'leave-out'}),
    Trap('groups no time', table(
        "No;Operation;Time s;After\n"
        "1;Base;;\n"
        "1.1;a;45;\n"
        "1.2;b;30;1.1\n"
        "2;Test;;\n"
        "2.1;c;5;1.2"
        ), {'1.1': 45, '1.2': 30, '2.1': 5}, {'summaries': 'leave-out'}),
    Trap('outline level', table(
        "Level;No;Operation;Time s;After\n"
        "1;10;Base;75;\n"
        "2;20;a;45;\n"
        "2;30;b;30;20\n"
        "1;40;Test;5;\n"
        "2;50;c;5;30"
        ), {'20': 45, '30': 30, '50': 5}, {'summaries': 'leave-out'}),
    Trap('Ebene DE', table(
        "Ebene;Nr;Vorgang;Dauer s;Vorgänger\n"
        "0;1;Produkt;80;\n"
        "1;2;Basis;75;\n"
        "2;3;a;45;\n"
        "2;4;b;30;3\n"
        "1;5;Prüfen;5;4"
        ), {'3': 45, '4': 30, '5': 5}, {'summaries': 'leave-out'}),
    Trap('Summe with nr', table(
        "Nr;Arbeitsgang;Zeit s;Vorgänger\n"
        "10;a;45;\n"
        "20;b;30;10\n"
        "30;Summe;75;"
        ), {'10': 45, '20': 30}, {'summaries': 'leave-out'}),
    Trap('Total FR', table(
        "N°;Opération;Temps (s);Antériorités\n"
        "10;a;45;\n"
        "20;b;30;10\n"
        "T;Total;75;"
        ), {'10': 45, '20': 30}, {'summaries': 'leave-out'}),
    Trap('Stufe BOM', table(
        "Stufe;Teilenummer;Benennung;Menge;Einheit\n"
        "1;G1;Getriebe;2;Stk\n"
        "2;S1;Schraube;4;Stk\n"
        "3;U1;Scheibe;1;Stk\n"
        "1;S2;Mutter;3;Stk"
        ), {'G1': 2, 'S1': 8, 'U1': 8, 'S2': 3}, {'levels:D': 'multiply'}),
    Trap('Niveau FR', table(
        "Niveau;Référence;Désignation;Quantité\n"
        "1;G1;Réducteur;2\n"
        "2;S1;Vis;4\n"
        "1;S2;Écrou;3"
        ), {'G1': 2, 'S1': 8, 'S2': 3}, {'levels:D': 'multiply'}),
    Trap('dot levels', table(
        "Level;Part no;Description;Qty\n"
        ".1;G1;Gear;2\n"
        "..2;S1;Screw;4\n"
        ".1;S2;Nut;3"
        ), {'G1': 2, 'S1': 8, 'S2': 3}, {'levels:D': 'multiply'}),
    Trap('Menge je 100', table(
        "Teilenummer;Benennung;Menge je 100;Einheit\n"
        "S1;a;400;Stk\n"
        "S2;b;200;Stk"
        ), {'S1': 4, 'S2': 2}, {'base:C': 'divide'}),
    Trap('cantidad por 100', table(
        "Código;Descripción;Cantidad por 100 uds\n"
        "S1;a;400\n"
        "S2;b;200"
        ), {'S1': 4, 'S2': 2}, {'base:C': 'divide'}),
    Trap('qty each and total', table(
        "Part no;Description;Qty per unit;Total qty\n"
        "S1;a;4;400\n"
        "S2;b;2;200"
        ), {'S1': 4, 'S2': 2}, {'which-column:quantity': 'C'}),
    Trap('Qty old new', table(
        "Part no;Description;Qty old;Qty new\n"
        "S1;a;3;4\n"
        "S2;b;2;2"
        ), {'S1': 4, 'S2': 2}, {'which-column:quantity': 'D'}),
    Trap('per column', table(
        "Part no;Description;Qty;Per\n"
        "S1;a;400;100\n"
        "S2;b;2;1"
        ), {'S1': 4, 'S2': 2}, {'factor:D': 'divide'}),
    Trap('Preiseinheit base', table(
        "Teilenummer;Benennung;Menge;Bezugsmenge\n"
        "S1;a;400;100\n"
        "S2;b;2;1"
        ), {'S1': 4, 'S2': 2}, {'factor:D': 'divide'}),
    Trap('qty unit 100 pcs', table(
        "Part no;Description;Qty;Unit\n"
        "S1;Screw;4;100 pcs\n"
        "S2;Nut;2;pcs"
        ), {'S1': 400, 'S2': 2}, {'factor:D': 'multiply'}),
    Trap('dozen', table(
        "Part no;Description;Qty;Unit\n"
        "S1;Screw;4;dozen\n"
        "S2;Nut;2;pcs"
        ), {'S1': 48, 'S2': 2}, {'factor:D': 'multiply'}),
    Trap('two number columns', table(
        "Pos;Op no;Operation;Time s;After\n"
        "10;110;a;5;\n"
        "20;120;b;7;110\n"
        "30;130;c;9;120"
        ), {'110': 5, '120': 7, '130': 9}, {'which-column:number': 'B'}),
    Trap('unknown heading times', table(
        "No;Operation;Wert;After\n"
        "10;a;45;\n"
        "20;b;30;10"
        ), {}),
    Trap('time in words left out', table(
        "No;Operation;Foo;After\n"
        "10;a;45 s;\n"
        "20;b;30 s;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'C'}),
    Trap('range of times', table(
        "No;Operation;Time s;After\n"
        "10;a;40-50;\n"
        "20;b;30;10"
        ), {'20': 30}),
    Trap('plus', table(
        "No;Operation;Time s;After\n"
        "10;a;40+5;\n"
        "20;b;30;10"
        ), {'10': 45, '20': 30}),
    Trap('2x15', table(
        "No;Operation;Time s;After\n"
        "10;a;2x15;\n"
        "20;b;30;10"
        ), {'10': 30, '20': 30}),
    Trap('less than', table(
        "No;Operation;Time s;After\n"
        "10;a;<45;\n"
        "20;b;30;10"
        ), {'20': 30}),
    Trap('time with pcs', table(
        "No;Operation;Time;After\n"
        "10;a;45 s/10 pcs;\n"
        "20;b;30 s;10"
        ), {'10': 4.5, '20': 30}),
    Trap('45 s each of 4', table(
        "No;Operation;Time;After\n"
        "10;a;4 x 6 s;\n"
        "20;b;30 s;10"
        ), {'10': 24, '20': 30}),
    Trap('heading /2', table(
        "No;Operation;Time s / 2 pcs;After\n"
        "10;a;90;\n"
        "20;b;60;10"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('pcs per hour', table(
        "No;Operation;Output pcs/h;After\n"
        "10;a;80;\n"
        "20;b;120;10"
        ), {'10': 45, '20': 30}),
    Trap('Stk/h as time', table(
        "Nr;Arbeitsgang;Zeit Stk/h;Vorgänger\n"
        "10;a;80;\n"
        "20;b;120;10"
        ), {'10': 45, '20': 30}),
    Trap('percent allowance col', table(
        "No;Operation;Time s;Allowance %;After\n"
        "10;a;40;12.5;\n"
        "20;b;30;0;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'add-percent'}),
    Trap('rating', table(
        "No;Operation;Observed s;Rating %;After\n"
        "10;a;50;90;\n"
        "20;b;30;100;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'C', 'factor:D': 'times-percent'}),
    Trap('Zuschlag', table(
        "Nr;Arbeitsgang;Grundzeit s;Zuschlag %;Vorgänger\n"
        "10;a;40;12,5;\n"
        "20;b;30;0;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'C', 'factor:D': 'add-percent'}),
    Trap('per shift', table(
        "No;Operation;Time per shift (min);After\n"
        "10;a;35;\n"
        "20;b;50;10"
        ), {}),
    Trap('Qty next to part', table(
        "No;Operation;Part;Qty;Time s;After\n"
        "10;a;S1;4;24;\n"
        "20;b;S2;1;9;10"
        ), {'10': 24, '20': 9}, {}),
    Trap('both arrows', table(
        "No;Operation;Time s;Pred 1;Pred 2\n"
        "10;a;5;;\n"
        "20;b;7;10;\n"
        "30;c;9;10;20"
        ), {'10': 5, '20': 7, '30': 9}, {}),
    Trap('clean FR', table(
        "N°;Désignation;Temps (s);Antécédents;Outil\n"
        "10;Poser la base;45;;Visseuse\n"
        "20;Visser;30;10;\n"
        "30;Contrôler;20;20;"
        ), {'10': 45, '20': 30, '30': 20}, {}),
    Trap('clean ES', table(
        "Nº;Descripción;Tiempo (s);Precedencias;Observaciones\n"
        "10;Poner base;45;;\n"
        "20;Atornillar;30;10;dos manos"
        ), {'10': 45, '20': 30}, {}),
    Trap('clean IT', table(
        "N.;Descrizione;Tempo (min);Precedenze\n"
        "10;Base;0,75;\n"
        "20;Vite;0,5;10"
        ), {'10': 45, '20': 30}, {}),
    Trap('clean many cols', table(
        "Op;Operation;Time (s);Pred;Station;Tool;Torque Nm;Drawing;Rev;Remark\n"
        "10;Fit;45;;1;Driver;1.2;D-100;1;\n"
        "20;Lid;30;10;1;Driver;1.2;D-101;2;\n"
        "30;Test;20;20;2;;;;1;"
        ), {'10': 45, '20': 30, '30': 20}, {}),
    Trap('clean with parts', table(
        "Op;Operation;Time (s);Pred;Part;Qty\n"
        "10;Fit;45;;P-1;4\n"
        "20;Lid;30;10;P-2;2"
        ), {'10': 45, '20': 30}, {}),
    Trap('clean weight', table(
        "Part no;Name;Qty;Unit;Weight (g)\n"
        "P1;Bolt;4;pcs;12\n"
        "P2;Wire;0.5;m;3"
        ), {'P1': 4, 'P2': 0.5}, {}),
    Trap('clean BOM pos', table(
        "Pos;Part no;Description;Qty\n"
        "10;P1;Bolt;4\n"
        "20;P2;Nut;4"
        ), {'P1': 4, 'P2': 4}, {}),
    Trap('clean cost', table(
        "Part no;Description;Qty;Price EUR\n"
        "P1;Bolt;4;0.12\n"
        "P2;Nut;4;0.05"
        ), {'P1': 4, 'P2': 4}, {}),
    Trap('clean seq', table(
        "No;Seq;Operation;Time s;After\n"
        "10;1;a;5;\n"
        "20;2;b;7;10\n"
        "30;3;c;9;20"
        ), {'10': 5, '20': 7, '30': 9}, {}),
    Trap('clean operators col', table(
        "No;Operation;Time s;After;Operator\n"
        "10;a;5;;Ana\n"
        "20;b;7;10;Bob"
        ), {'10': 5, '20': 7}, {}),
    Trap('clean title', table(
        "Line 4 kettle;;;\n"
        "Date 2026-01-05;;;\n"
        "Author: ana;;;\n"
        "No;Operation;Time s;After\n"
        "10;a;5;\n"
        "20;b;7;10"
        ), {'10': 5, '20': 7}, {}),
    Trap('clean takt title', table(
        "Takt time [s];60;;\n"
        "No;Operation;Time s;After\n"
        "10;a;5;\n"
        "20;b;7;10"
        ), {'10': 5, '20': 7}, {}),
    Trap('clean total', table(
        "No;Operation;Time s;After\n"
        "10;a;5;\n"
        "20;b;7;10\n"
        "30;c;9;20\n"
        ";Sum;21;"
        ), {'10': 5, '20': 7, '30': 9}, {}),
    Trap('clean names with numbers', table(
        "No;Operation;Time s;After\n"
        "10;Drive 4 screws M6x20;5;\n"
        "20;Tighten to 10 Nm per DIN 912;7;10\n"
        "30;Fit 2 pcs;9;20"
        ), {'10': 5, '20': 7, '30': 9}, {}),
    Trap('clean TMU ints', table(
        "No;Operation;TMU;After\n"
        "10;a;850;\n"
        "20;b;1250;10"
        ), {'10': 30.6, '20': 45}, {}),
    Trap('machine col', table(
        "No;Operation;Time s;Machine;After\n"
        "10;a;5;yes;\n"
        "20;b;7;no;10"
        ), {'10': 5, '20': 7}, {}),
    Trap('sd', table(
        "No;Operation;Time s;Std dev s;After\n"
        "10;a;5;0.5;\n"
        "20;b;7;0.6;10"
        ), {'10': 5, '20': 7}, {}),
    Trap('clean zones', table(
        "No;Operation;Time s;After;Height mm\n"
        "10;a;5;;900\n"
        "20;b;7;10;950"
        ), {'10': 5, '20': 7}, {}),
    Trap('clean dates', table(
        "No;Operation;Time s;After;Measured\n"
        "10;a;5;;2026-01-05\n"
        "20;b;7;10;2026-01-05"
        ), {'10': 5, '20': 7}, {}),
    Trap('Vorgang Vorg Nr', table(
        "Vorg.-Nr.;Bezeichnung;Zeit (s);Vorgänger\n"
        "10;a;5;\n"
        "20;b;7;10"
        ), {'10': 5, '20': 7}, {}),
    Trap('shift header', table(
        "Schicht 480 min;;;\n"
        "Nr;Arbeitsgang;Zeit (s);Vorgänger\n"
        "10;a;5;\n"
        "20;b;7;10"
        ), {'10': 5, '20': 7}, {}),
    Trap('kosten', table(
        "Nr;Arbeitsgang;Zeit (s);Minuten;Vorgänger\n"
        "10;a;45;0,75;\n"
        "20;b;30;0,5;10"
        ), {'10': 45, '20': 30}, {}),
    Trap('kosten inconsistent', table(
        "Nr;Arbeitsgang;Zeit (s);Minuten;Vorgänger\n"
        "10;a;45;0,9;\n"
        "20;b;30;0,5;10"
        ), {'10': 45, '20': 30}, {'which-column:time': 'C'}),
    Trap('Vorgänger under Nr V', table(
        "Nr;Bezeichnung;Zeit in Sek.;V\n"
        "10;a;45;\n"
        "20;b;30;10\n"
        "30;c;5;20"
        ), {'10': 45, '20': 30, '30': 5}, {'arrow-column:D': 'predecessors'}),
    Trap('succ unknown', table(
        "No;Operation;Time s;Goes to\n"
        "10;a;45;20\n"
        "20;b;30;30\n"
        "30;c;5;"
        ), {'10': 45, '20': 30, '30': 5}, {'arrow-column:D': 'predecessors'}),
    Trap('two lists', table(
        "No;Operation;Time s;After;Also after\n"
        "10;a;45;;\n"
        "20;b;30;10;\n"
        "30;c;5;20;10\n"
        "40;d;6;30;20"
        ), {'10': 45, '20': 30, '30': 5, '40': 6}, {}),
    Trap('unit header 3 rows', table(
        "No;Operation;Time;After\n"
        ";;;\n"
        ";;min;\n"
        "10;a;0.75;\n"
        "20;b;0.5;10"
        ), {'10': 45, '20': 30}, {'rows-without-number': 'leave-out', 'time-unit:C': 'min'}),
    Trap('unit under wrong', table(
        "No;Operation;Time s;After\n"
        "(-);(-);(min);(-)\n"
        "10;a;0.75;\n"
        "20;b;0.5;10"
        ), {'10': 45, '20': 30}, {'time-unit:C': 'min'}),
    Trap('x/100 s', table(
        "No;Operation;Time 1/100 s;After\n"
        "10;a;4500;\n"
        "20;b;3000;10"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('per dozen', table(
        "No;Operation;Time s per dozen;After\n"
        "10;a;540;\n"
        "20;b;360;10"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('per pair', table(
        "No;Operation;Time s per pair;After\n"
        "10;a;90;\n"
        "20;b;60;10"
        ), {'10': 45, '20': 30}, {'base:C': 'divide'}),
    Trap('for both sides', table(
        "No;Operation;Time s (x2);After\n"
        "10;a;22.5;\n"
        "20;b;15;10"
        ), {'10': 45, '20': 30}, {'base:C': 'multiply'}),
    Trap('Time x2 col', table(
        "No;Operation;Time s;x;After\n"
        "10;a;22.5;2;\n"
        "20;b;30;1;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'multiply'}),
    Trap('Anz', table(
        "Nr;Arbeitsgang;Zeit s;Anz.;Vorgänger\n"
        "10;a;22.5;2;\n"
        "20;b;30;1;10"
        ), {'10': 45, '20': 30}, {'factor:D': 'multiply'}),
    Trap('footnote star', table(
        "No;Operation;Time s;After\n"
        "10;a;450*;\n"
        "20;b;30;10\n"
        ";* for 10 pcs;;"
        ), {'20': 30}),
    Trap('hundred min', table(
        "No;Operation;Time cmin;After\n"
        "10;a;75;\n"
        "20;b;50;10\n"
        ";Total in s;75;"
        ), {'10': 45, '20': 30}, {'time-unit:C': 'cmin'}),
    Trap('total with unit', table(
        "No;Operation;Time s;After\n"
        "10;a;0.75;\n"
        "20;b;0.5;10\n"
        "30;c;1;20\n"
        ";Total;2.25 min;"
        ), {'10': 45, '20': 30, '30': 60}, {'time-unit:C': 'min'}),
    Trap('total 60', table(
        "No;Operation;Time s;After\n"
        "10;a;0.75;\n"
        "20;b;0.5;10\n"
        "30;c;1;20\n"
        ";Total s;135;"
        ), {'10': 45, '20': 30, '30': 60}, {'time-unit:C': 'min'}),
    Trap('total mismatch x10', table(
        "No;Operation;Time s;After\n"
        "10;a;450;\n"
        "20;b;300;10\n"
        "30;c;600;20\n"
        ";Total;135;"
        ), {'10': 45, '20': 30, '30': 60}),
    Trap('group sum above, no number', table(
        "No;Operation;Time s;After\n"
        ";Base;75;\n"
        "10;a;45;\n"
        "20;b;30;10"
        ), {'10': 45, '20': 30}, {'rows-without-number': 'number', 'summaries': 'leave-out'}),
    Trap('group sum with text number', table(
        "No;Operation;Time s;After\n"
        "A;Base;75;\n"
        "A1;a;45;\n"
        "A2;b;30;A1"
        ), {'A1': 45, 'A2': 30}, {'summaries': 'leave-out'}),
    Trap('group sum 100', table(
        "No;Operation;Time s;After\n"
        "100;Base;75;\n"
        "110;a;45;\n"
        "120;b;30;110\n"
        "200;Test;35;\n"
        "210;c;5;120\n"
        "220;d;30;210"
        ), {'110': 45, '120': 30, '210': 5, '220': 30}, {'summaries': 'leave-out'}),
    Trap('sum after two', table(
        "No;Operation;Time s;After\n"
        "10;a;45;\n"
        "20;b;30;10\n"
        "25;Section 1;75;\n"
        "30;c;5;20\n"
        "40;d;9;30\n"
        "45;Section 2;14;"
        ), {'10': 45, '20': 30, '30': 5, '40': 9}, {'summaries': 'leave-out'}),
    Trap('BOM total qty col', table(
        "Part no;Description;Qty;Products;Need\n"
        "P1;Bolt;4;100;400\n"
        "P2;Nut;2;100;200"
        ), {'P1': 4, 'P2': 2}, {}),
    Trap('BOM for 10 title', table(
        "Parts for 10 units;;\n"
        "Part no;Description;Qty\n"
        "P1;Bolt;40\n"
        "P2;Nut;20"
        ), {'P1': 4, 'P2': 2}, {'base:C': 'divide'}),
    Trap('BOM footer 100', table(
        "Part no;Description;Qty\n"
        "P1;Bolt;400\n"
        "P2;Nut;200\n"
        ";Quantities per 100 pieces;"
        ), {'P1': 4, 'P2': 2}, {'base:C': 'divide'}),
    Trap('BOM unit kg/100', table(
        "Part no;Description;Qty;Unit\n"
        "P1;Glue;0.5;kg/100\n"
        "P2;Nut;2;pcs"
        ), {'P1': 0.005, 'P2': 2}, {'factor:D': 'multiply'}),
    Trap('BOM indented pos', table(
        "Pos;Part no;Description;Qty\n"
        "1;G1;Gear;2\n"
        "1.1;S1;Screw;4\n"
        "2;S2;Nut;3"
        ), {'G1': 2, 'S1': 8, 'S2': 3}, {'levels:D': 'multiply'}),
    Trap('BOM indented name', table(
        "Part no;Description;Qty\n"
        "G1;Gear;2\n"
        "S1;   Screw;4\n"
        "S2;Nut;3"
        ), {'G1': 2, 'S1': 8, 'S2': 3}, {'levels:C': 'multiply'}),
    Trap('qty with percent scrap', table(
        "Part no;Description;Qty;Scrap %\n"
        "P1;Glue;4;25\n"
        "P2;Nut;2;0"
        ), {'P1': 5, 'P2': 2}, {'factor:D': 'add-percent'}),
    Trap('qty stk', table(
        "Teilenummer;Benennung;Menge\n"
        "P1;a;4 Stk\n"
        "P2;b;1.000 Stk"
        ), {'P1': 4, 'P2': 1000}, {'comma:C': ','}),
    Trap('neg qty', table(
        "Part no;Description;Qty\n"
        "P1;Wire;-4\n"
        "P2;Nut;2"
        ), {'P2': 2}),
    Trap('times at 80 percent', table(
        "Task;Name;Time (s) at 80 %;Pred\n"
        "10;Base;30;\n"
        "20;Cover;40;10"
        ), {'10': 24, '20': 32}, {'percent:C': 'times-percent'}),
    Trap('DE Zuschlag im Kopf', table(
        "Nr;Arbeitsgang;Zeit (s), + 10 % Verteilzeit;Vorgänger\n"
        "10;Einlegen;30;\n"
        "20;Schrauben;40;10"
        ), {'10': 33, '20': 44}, {'percent:C': 'add-percent'}),
)  # fmt: skip
